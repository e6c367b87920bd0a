import { describe, expect, it } from 'vitest'
import { hoverAt, viewProgram, type ContactView, type MotionFigures } from '../../server/engine/editor-service.ts'
import { interpret } from '../../server/engine/machine/interpreter.ts'
import { openScene, readProgram } from '../../server/engine/service.ts'
import { builtInMachine } from '../../server/engine/setup/built-in-machine.ts'
import { readSetup } from '../../server/engine/setup/read-setup.ts'
import { buildKinematics } from '../../shared/kinematics.ts'

// Base offset at the joints' zero: the part frame has its origin in the machine's, and the tool
// point under length compensation stands where the program says. Checked against the closed form
// of a table-table machine, and figures handed in, so that nothing here depends on the search.

const sheet = `{
  "programs": ["a.nc"], "baseOffset": "G54", "offsets": { "G54": { "X": 0, "Y": 0, "Z": 0, "A": 0, "C": 0 } },
  "tools": [{ "number": 1, "name": "ball 6", "cutter": { "shape": "ball", "DC": 6, "LCF": 10 }, "LPR": 30,
    "holder": [{ "diameter": 20, "length": 40 }], "lengthOffset": 1 }]
}`
const { setup } = readSetup({ path: '/job/a.setup.json', text: sheet })

const searching: ContactView = { figuresOf: () => undefined }
const found = (figures: MotionFigures): ContactView => ({ figuresOf: () => figures })

/** Hover over the `|` in the program. */
function hover(marked: string, contact: ContactView = searching) {
  const offset = marked.indexOf('|')
  const text = marked.replace('|', '')
  const kinematics = buildKinematics(builtInMachine, builtInMachine.axes.map(() => 0))
  const { toolpath, lineStarts, blockCount } = interpret(text, { machine: builtInMachine, setup, kinematics, report: () => {} })
  const view = viewProgram({ path: '/job/a.nc', text, lineStarts, blockCount, toolpath, kinematics, findings: [], dwellSeconds: 0, dwells: [], passLines: [], waivers: [], waiverMentions: new Uint32Array(), complete: true },
    { setup, machine: builtInMachine })
  const answer = hoverAt(view, contact, offset)
  return answer === undefined ? undefined : { word: text.slice(answer.span.start, answer.span.end), markdown: answer.markdown }
}

const head = 'G21 G17 G90 G94 G54\nT1 M6\nS8000 M3\nG43 H1 Z50.\n'

describe('hover', () => {
  it.each([
    ['G0 X|1.', 'X1.', /^\*\*X1\.\*\*: position along X, 1\.000 mm/],
    ['|G1 X1. F100.', 'G1', /^\*\*G1\*\*: straight cut at the feed/],
    ['N10 G1 A-|30. F100.', 'A-30.', /^\*\*A-30\.\*\*: angle about X, -30\.000°/],
    ['G1 X1. F|100.', 'F100.', /^\*\*F100\.\*\*: feed/],
    ['N|10 G1 X1. F100.', 'N10', /^\*\*N10\*\*: sequence number/],
    ['G|43.4 H1', 'G43.4', /^\*\*G43\.4\*\*: tool-centre control on \(machine file\)/],
    ['M|77', 'M77', /^\*\*M77\*\*: neither the standard nor the machine file/],
    ['G0 B|5.', 'B5.', /this machine has no such axis/],
  ])('says what the word means: %s', (line, word, meaning) => {
    const answer = hover(head + line)
    expect(answer?.word).toBe(word)
    expect(answer?.markdown).toMatch(meaning)
  })

  it.each(['G1 |(NOTE) X1.', 'G1 X1. |', '|', '; |rest'])('has nothing to say beside the words: %s', line => {
    expect(hover(head + line)).toBeUndefined()
  })

  it('gives tool point, axis, joints, feed and time at the end of the block', () => {
    const answer = hover(`${head}G0 X0. Y0. Z10.\nG1 X|30. F600.`)
    expect(answer?.markdown).toContain('X 30.000  Y 0.000  Z 10.000')
    expect(answer?.markdown).toContain('| tool axis, tip to spindle | 0.00000  0.00000  1.00000 |')
    // Gauge point to tip: stick-out 30 and holder 40.
    expect(answer?.markdown).toContain('X 30.000  Y 0.000  Z 80.000  A 0.000°  C 0.000°')
    // 30 mm at 600 mm/min.
    expect(answer?.markdown).toContain('F600: mm per minute; the block takes 3.0 s')
  })

  it('gives the tool axis in the part frame when the table is turned', () => {
    // A table that swings by -90 degrees about -X carries the part's +Y to where the tool comes from
    // or away from it: direction by the right-hand rule about (-1,0,0), so R(+90 degrees about X);
    // the tool axis in the part is its inverse on (0,0,1): (0, 1, 0).
    const answer = hover(`${head}G0 A-|90.`)
    expect(answer?.markdown).toContain('| tool axis, tip to spindle | 0.00000  1.00000  0.00000 |')
  })

  it('shows inches to who programs in inches', () => {
    const answer = hover(`${head}G20\nG1 X|1. F10.`)
    expect(answer?.markdown).toContain('**X1.**: position along X, 1.0000 inch')
    expect(answer?.markdown).toContain('X 1.0000  Y')
  })

  it('says what is in force', () => {
    const answer = hover(`${head}G1 X|1. F100. M8`)
    expect(answer?.markdown).toContain('In force: straight feed move (G1), plane XY (G17), absolute (G90), millimetres, work offset G54, tool 1 with length offset H1')
    expect(answer?.markdown).toContain('spindle clockwise at 8000 rev/min, coolant on')
  })

  it('gives the clearance of each component with its bound', () => {
    const answer = hover(`${head}G1 X|1. F100.`, found({ value: [-0.007, Infinity, 0.421, Infinity], certified: [-0.009, Infinity, 0.419, 5] }))
    expect(answer?.markdown).toContain('- cutter: 0.008 mm deep (±0.001)\n- shank: 0.420 mm clear (±0.001)\n- holder: more than 5.000 mm clear')
    expect(answer?.markdown).not.toContain('neck')
  })

  it('does not call clear what has not been searched', () => {
    expect(hover(`${head}G1 X|1. F100.`)?.markdown).toContain('not searched yet')
    const off = hover(`${head}G1 X|1. F100.`, { figuresOf: () => undefined, notSearched: 'the setup sheet names no part' })
    expect(off?.markdown).toContain('Clearance from the part: not searched, the setup sheet names no part.')
  })

  it('says of a block without motion where the tool was left', () => {
    const answer = hover(`${head}G0 X7. Y0. Z5.\nM|8`)
    expect(answer?.markdown).toContain('as left by an earlier block')
    expect(answer?.markdown).toContain('X 7.000  Y 0.000  Z 5.000')
    expect(answer?.markdown).toContain('This block does not move the tool.')
  })
})

describe('hover after an edit', () => {
  it('shows what holds in the new text, worked out from the reading before', () => {
    const scene = openScene({ path: '/job/a.setup.json', text: sheet }, undefined)
    const blocks = Array.from({ length: 4000 }, (_, n) => `X${n % 50}. Y${n % 7}. Z5. A0. C0.`)
    const text = `${head}G1 F100.\n${blocks.join('\n')}\nM30\n`, other = text.replace('X17. Y3.', 'X18. Y3. S900 F200.')
    const first = readProgram({ path: '/job/a.nc', text }, scene)
    expect(viewProgram(first, scene).stateAt(3500).feed).toBe(100)
    const again = viewProgram(readProgram({ path: '/job/a.nc', text: other }, scene, { earlier: first }), scene)
    const fresh = viewProgram(readProgram({ path: '/job/a.nc', text: other }, scene), scene)
    for (const line of [3, 20, 2000, 3500, 4006]) expect(again.stateAt(line)).toEqual(fresh.stateAt(line))
    expect(again.stateAt(3500)).toMatchObject({ feed: 200, speed: 900 })
  })
})
