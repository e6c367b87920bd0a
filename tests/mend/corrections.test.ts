import { describe, expect, test } from 'vitest'
import { head, Job, joinMeshes, sheetOfMesh } from './job.ts'

// Corrections as they come out in the text: which words change, which must be added, and what is refused.

const face = sheetOfMesh([0, 0, 0], [60, 0, 0], [0, 60, 0])
const tip = { cutter: { shape: 'ball', DC: 6, LCF: 10 }, LPR: 40, holder: [{ diameter: 8, length: 20 }] }
const limits = { gouge: 0.01, clearance: { neck: 0.1, shank: 0.1, holder: 0.5, rapid: 1 } }

/** The mended program's lines that are not those of the program, and what they replace. */
function changed(program: string, mended: string): [string[], string[]] {
  const before = program.split('\n'), after = mended.split('\n')
  return [before.filter(line => !after.includes(line)), after.filter(line => !before.includes(line))]
}

function mend(program: string, more: Partial<ConstructorParameters<typeof Job>[0]> = {}) {
  const job = new Job({ program, tool: tip, limits, mesh: face, ...more })
  const answer = job.mend()
  return { job, answer, before: job.findings(program), after: job.findings(answer.text), diff: changed(program, answer.text) }
}

const start = head('X-20. Y0. Z8. A0. C0.')

describe('the words of a block', () => {
  test('only the word that must change is changed, in its own form', () => {
    const { diff, after } = mend(`${start}N80 G1 Z0.000 F500.\nN90 X-10.000 Z-0.050 (TOO DEEP)\nN100 X0.000 Z0.000\nN110 G0 Z50.\nN120 M30\n%\n`)
    expect(diff).toEqual([['N90 X-10.000 Z-0.050 (TOO DEEP)'], ['N90 X-10.000 Z-0.009 (TOO DEEP)']])
    expect(after).toEqual([])
  })

  test('a word that the next block has left out is put in there', () => {
    // X stays at −10 in N100, which leaves it out: once N90 is drawn off the wall, N100 has to say it.
    const wall = joinMeshes(face, sheetOfMesh([-13.05, 0, 0], [0, 5, 0], [0, 0, 20]))
    const program = `${start}N80 G1 Z0. F500.\nN85 Y-15.\nN90 X-9.9\nN100 Y0. X-10.1\nN105 Y15.\nN106 X-5.\nN110 G0 Z50.\nN120 M30\n%\n`.replace('X-20. Y0.', 'X0. Y0.')
    const { diff, after, before } = mend(program, { mesh: wall })
    expect(before.map(({ rule }) => rule)).toContain('gouge')
    expect(after).toEqual([])
    expect(diff[0]).toContain('N105 Y15.')
    expect(diff[1].find(line => line.startsWith('N105'))).toMatch(/^N105 X-10\.1 Y15\.$/)
  })

  test.each([
    ['spaces between letter and number', 'X -10.0 Z -0.050', 'X -10.0 Z -0.009'],
    ['no spaces between words', 'X-10.Z-.050', 'X-10.Z-.009'],
    ['a plus sign', 'X-10.0 Z-0.050', 'X-10.0 Z-0.009'],
  ])('%s', (_, from, to) => {
    const joined = from.includes(' ') ? ' ' : ''
    const { diff } = mend(`${start}N80 G1${joined}Z0.000${joined}F500.\nN90${joined}${from}\nN100${joined}${from.includes('X -') ? 'X 0.0 Z 0.000' : `X0.0${joined}Z0.000`}\nN110 G0${joined}Z50.\nN120 M30\n%\n`)
    expect(diff[1]).toEqual([`N90${joined}${to}`])
  })

  test('increments: the block after takes back what was changed', () => {
    const { diff, after } = mend(`${start}N80 G1 Z0.000 F500.\nN85 G91\nN90 X10.000 Z-0.050\nN100 X10.000 Z0.050\nN105 G90\nN110 G0 Z50.\nN120 M30\n%\n`)
    expect(diff[1]).toEqual(['N90 X10.000 Z-0.009', 'N100 X10.000 Z0.009'])
    expect(after).toEqual([])
  })

  test('small letters', () => {
    const { diff } = mend(`${start}N80 G1 Z0.000 F500.\nN90 X-10.000 Z-0.050\nN100 X0.000 Z0.000\nN110 G0 Z50.\nN120 M30\n%\n`.toLowerCase())
    expect(diff[1]).toEqual(['n90 x-10.000 z-0.009'])
  })

  test('line ends stay as they are', () => {
    const { answer } = mend(`${start}N80 G1 Z0.000 F500.\nN90 X-10.000 Z-0.050\nN100 X0.000 Z0.000\nN110 G0 Z50.\nN120 M30\n%\n`.replaceAll('\n', '\r\n'))
    expect(answer.text.split('\r\n')).toContain('N90 X-10.000 Z-0.009')
    expect(answer.text.replaceAll('\r\n', '')).not.toContain('\n')
  })
})

describe('blocks put in', () => {
  // A ridge across the middle of one long block: the ends are well, the middle cuts.
  const ridge = joinMeshes(face, sheetOfMesh([0, 0, 0.02], [0.5, 0, 0], [0, 20, 0]))

  test('a long block is parted at the fault, numbered in between, and its ends stay', () => {
    const program = `${start}N80 G1 Z0.000 F500.\nN90 X20.000\nN110 G0 Z50.\nN120 M30\n%\n`
    const { diff, after, answer } = mend(program, { mesh: ridge })
    expect(after).toEqual([])
    expect(diff[0].every(line => line === 'N90 X20.000' || line === '')).toBe(true)
    const put = diff[1].filter(line => !line.startsWith('N90'))
    expect(put.length).toBeGreaterThan(0)
    for (const line of put) expect(Number(/^N(\d+) /.exec(line)?.[1])).toBeGreaterThan(80)
    expect(answer.text).toMatch(/N90 X20\.000(?: Z0\.)?$/m)
    // What is left standing reaches no farther than a millimetre from the ridge's own reach.
    const [first, last] = [put[0], put.at(-1)].map(line => Number(/X(-?[\d.]+)/.exec(line ?? '')?.[1]))
    expect(first).toBeGreaterThan(-3)
    expect(last).toBeLessThan(3)
  })

  test('in inverse time each part has its own share of the time', () => {
    const program = `${start}N80 G1 Z0.000 F500.\nN85 G93\nN90 X20.000 F60.\nN100 G94\nN110 G0 Z50.\nN120 M30\n%\n`
    const { answer, job, after } = mend(program, { mesh: ridge })
    expect(after).toEqual([])
    const read = job.read(answer.text), seconds = (text: string) => {
      const { toolpath, lineStarts } = text === program ? job.program : read
      let sum = 0
      for (let i = 0; i < toolpath.count; i++) {
        const line = text.slice(lineStarts[toolpath.line[i]], lineStarts[toolpath.line[i] + 1])
        if (/F\d/.test(line) && !line.includes('F500')) sum += toolpath.seconds[i]
      }
      return sum
    }
    expect(seconds(answer.text)).toBeCloseTo(seconds(program), 1)
  })
})

describe('minimality', () => {
  test.each([0.9, 0.5])('%f of the correction is not enough', share => {
    const program = `${start}N80 G1 Z0.0000 F500.\nN90 X-10.0000 Z-0.1500\nN100 X0.0000 Z0.0000\nN110 G0 Z50.\nN120 M30\n%\n`
    const { job, answer, after } = mend(program)
    expect(after).toEqual([])
    const to = Number(/N90 X\S+ Z(-?[\d.]+)/.exec(answer.text)?.[1])
    const less = program.replace('Z-0.1500', `Z${(-0.15 + share * (to + 0.15)).toFixed(4)}`)
    expect(job.findings(less).map(({ rule }) => rule)).toEqual(['gouge'])
  })
})

describe('blocks that run several times', () => {
  test('are corrected once where all runs ask for the same', () => {
    const program = `${start}N80 G1 Z0.000 F500.\nN85 #1=0\nN86 WHILE [#1 LT 3] DO1\nN90 G1 X-10.000 Z-0.050 F500.\nN100 X0.000 Z0.000\nN101 X-20.000\nN102 #1=[#1+1]\nN103 END1\nN110 G0 Z50.\nN120 M30\n%\n`
    const { diff, after } = mend(program)
    expect(diff).toEqual([['N90 G1 X-10.000 Z-0.050 F500.'], ['N90 G1 X-10.000 Z-0.009 F500.']])
    expect(after).toEqual([])
  })

  test('are refused where they do not', () => {
    // Each run goes 0.02 mm deeper: no one word serves all.
    const program = `${start}N80 G1 Z0.000 F500.\nN85 #1=0\nN86 WHILE [#1 LT 3] DO1\nN88 G91\nN90 G1 X5.000 Z-0.020 F500.\nN100 G90\nN102 #1=[#1+1]\nN103 END1\nN110 G0 Z50.\nN120 M30\n%\n`
    const { answer, before, after } = mend(program)
    expect(before.length).toBeGreaterThan(0)
    expect(after.length).toBeLessThanOrEqual(before.length)
    expect(answer.refused.flatMap(({ why }) => why).join(' ')).toMatch(/runs several times/)
    expect(answer.text).toBe(program)
  })

  test('a word that the program works out is left alone', () => {
    const program = `${start}N80 G1 Z0.000 F500.\nN85 #1=-.05\nN90 X-10.000 Z#1\nN100 X0.000 Z0.000\nN110 G0 Z50.\nN120 M30\n%\n`
    const { answer } = mend(program)
    expect(answer.text).toBe(program)
    expect(answer.refused.flatMap(({ why }) => why).join(' ')).toMatch(/Z#1 is worked out by the program/)
  })
})

describe('motions that are no straight block of the program', () => {
  const end = 'N110 G0 Z50.\nN120 M30\n%\n', plain = start.replace('G43.4', 'G43')

  test.each<[string, string, RegExp]>([
    ['an arc that begins too deep', `${start}N80 G1 Z-0.05 F500.\nN90 G3 X-10. Y10. I10. J0.\nN100 G1 X0. Z0.\n${end}`, /lift: N90 cannot be changed: it is an arc/],
    ['a helix that ends too deep', `${start}N80 G1 Z0. F500.\nN90 G3 X-10. Y10. Z-0.05 I10. J0.\nN100 G1 X0. Z0.\n${end}`, /lift: N90 cannot be changed: it is an arc/],
    ['a block that ends too deep where an arc begins', `${start}N80 G1 Z0. F500.\nN90 X-10. Z-0.05\nN95 G3 X0. Y10. I0. J10.\nN100 G1 X10. Z0.\n${end}`, /N95 cannot be changed: it is an arc/],
    ['the holes of a fixed cycle', `${plain}N80 G81 X-10. Y0. Z-0.05 R2. F100.\nN85 X0.\nN90 G80\n${end}`, /N85 cannot be changed: a fixed cycle is on/],
    ['the block that calls a fixed cycle', `${plain}N80 G81 X-10. Y0. Z-0.05 R2. F100.\nN90 G80\n${end}`, /N80 cannot be changed: it is a fixed cycle/],
    ['blocks under radius compensation', `${plain}N80 G1 Z-0.05 F500.\nN82 G41 D1 X-15.\nN90 X-10. Y0.\nN95 Y10.\nN100 G40 X0.\n${end}`, /radius compensation (?:is on|ends in it)/],
  ])('%s: left as it is, with the reason', (_, program, why) => {
    const { answer, before } = mend(program, { tool: { ...tip, radiusOffset: 1 } })
    expect(before.map(({ rule }) => rule)).toContain('gouge')
    expect(answer.text).toBe(program)
    expect(answer.refused.flatMap(each => each.why).join('; ')).toMatch(why)
  })

  test('a straight block beside an arc is mended, and the arc stays', () => {
    const { diff, after } = mend(`${start}N80 G1 Z0. F500.\nN85 X-15. Z-0.05\nN88 X-10. Z0.\nN90 G3 X0. Y10. I0. J10.\nN100 G1 X10. Z0.\n${end}`)
    expect(diff).toEqual([['N85 X-15. Z-0.05'], ['N85 X-15. Z0.']])
    expect(after).toEqual([])
  })
})

describe('called programs', () => {
  const end = 'N110 G0 Z50.\nN120 M30\n'
  const sub = 'O100\nN200 G1 X-10. Z-0.05 F500.\nN210 X0. Z0.\nN215 X-20.\nN220 M99\n%\n'

  test('in the same file: corrected once where all calls ask for the same', () => {
    const { diff, after, answer } = mend(`${start}N80 G1 Z0. F500.\nN85 M98 P100\nN87 M98 P100\n${end}${sub}`)
    expect(diff).toEqual([['N200 G1 X-10. Z-0.05 F500.'], ['N200 G1 X-10. Z0. F500.']])
    expect(after).toEqual([])
    expect(answer.mended.length).toBeGreaterThan(0)
  })

  test('in the same file: left as it is where the calls ask for different corrections', () => {
    // The frame is lowered by 0.02 mm before the second call.
    const program = `${start}N80 G1 Z0. F500.\nN82 M98 P100\nN85 G52 Z-.02\nN86 M98 P100\nN87 G52 Z0.\n${end}${sub}`
    const { answer, before } = mend(program)
    expect(before.map(({ rule }) => rule)).toContain('gouge')
    expect(answer.text).toBe(program)
    expect(answer.refused.flatMap(({ why }) => why).join('; ')).toMatch(/N200 runs several times, and its runs do not all ask for the same correction/)
  })

  test('left as it is where only one of its runs is at fault', () => {
    // The second run passes over the step at the right, which the first does not reach.
    const step = joinMeshes(face, sheetOfMesh([30, 0, 0.05], [5, 0, 0], [0, 20, 0]))
    const program = `${start}N80 G1 Z0. F500.\nN82 M98 P100\nN84 M98 P100\n${end}O100\nN200 G91 G1 X25. F500.\nN215 G90\nN220 M99\n%\n`
    const { answer, before } = mend(program, { mesh: step })
    expect(before.map(({ rule }) => rule)).toContain('gouge')
    expect(answer.text).toBe(program)
    expect(answer.refused.flatMap(({ why }) => why).join('; ')).not.toBe('')
  })

  test('in a file of its own: left as it is, and said', () => {
    const program = `${start}N80 G1 Z0. F500.\nN85 M98 P100\n${end}%\n`
    const { answer, before } = mend(program, { called: { 100: sub } })
    expect(before.map(({ rule }) => rule)).toContain('gouge')
    expect(answer.text).toBe(program)
    expect(answer.refused.flatMap(({ why }) => why).join('; ')).toMatch(/the motion stands in a file of its own, which is called/)
  })

  test('a block from whose end a called file goes on is not moved behind its back', () => {
    // The file says no Z: it would follow wherever N83 ends.
    const program = `${start}N80 G1 Z0. F500.\nN83 X-15. Z-0.05\nN85 M98 P100\nN90 G1 X5. Z0.\n${end}%\n`
    const { answer } = mend(program, { called: { 100: 'O100\nN200 G1 X-10. F500.\nN220 M99\n%\n' } })
    expect(answer.text).toBe(program)
    expect(answer.refused.flatMap(({ why }) => why).join('; ')).toMatch(/a file that is called goes on from where this block ends|stands in a file of its own/)
  })
})

describe('ease', () => {
  test('an axis that cannot follow gets the feed it can have, and the next block its own again', () => {
    const program = `${head('X-20. Y0. Z8. A0. C0.')}N80 G1 X-10. F1000.\nN90 X-9.9 A-20.\nN100 X0.\nN105 X10. A-20.5\nN110 G0 Z50.\nN120 M30\n%\n`
    const { diff, before, after } = mend(program, { limits: { ...limits, axisStep: 90 } })
    expect(before.map(({ rule }) => rule)).toContain('axis-rate')
    expect(after.map(({ rule }) => rule)).not.toContain('axis-rate')
    expect(diff[1]).toHaveLength(2)
    expect(diff[1][0]).toMatch(/^N90 X-9\.9 A-20\. F\d+\.$/)
    expect(diff[1][1]).toBe('N100 X0. F1000.')
    // One unit of the feed more is too much.
    const feed = Number(/F(\d+)\./.exec(diff[1][0])?.[1])
    const more = program.replace('A-20.\n', `A-20. F${Math.ceil(feed * 1.1)}.\n`)
    expect(new Job({ program: more, tool: tip, limits: { ...limits, axisStep: 90 }, mesh: face }).findings(more).map(({ rule }) => rule)).toContain('axis-rate')
  })
})

describe('aim', () => {
  const through = { passes: [{ axisThrough: { point: [0, 0, 60], within: 0.05 }, from: 'N80' }], tool: { ...tip, point: 'centre', LPR: 90 } }

  test('the axis is turned through the point about the tool point, and blocks are parted where it strays in between', () => {
    const program = `${head('X0. Y20. Z8. A18.434949 C0.')}N80 G1 X0. Y15. Z15. A18.435 F500.\nN90 Y10. Z12. A11.768\nN100 Y0. Z12. A0.\nN110 G0 Z70.\nN120 M30\n%\n`
    const { before, after, answer } = mend(program, { ...through, limits: { ...limits, axisStep: 45 } })
    expect(before.map(({ rule }) => rule)).toContain('axis-off-point')
    expect(after.map(({ rule }) => rule)).not.toContain('axis-off-point')
    expect(answer.mended.flatMap(({ attempt }) => attempt.steps.map(({ step }) => step.by))).toContain('aim')
    // The tool point stays: X, Y and Z of its blocks are what they were.
    expect(answer.text).toMatch(/N90 Y10\. Z12\. A/)
  })
})

describe('lean', () => {
  // A wall that the shank comes too near to in one block alone: there the axis has to lean by acos((3.6 − 0.15)/hypot(4, 18.5)) − atan(18.5/4), 1.70°.
  const tool = { cutter: { shape: 'ball', DC: 3, LCF: 6 }, neck: { DN: 2.8, LU: 20 }, shank: { DCONMS: 8 }, LPR: 60, holder: [{ diameter: 8, length: 20 }], point: 'centre' }
  const ways = [...Array.from({ length: 31 }, (_, i) => i - 30), ...Array.from({ length: 30 }, (_, i) => -1 - i)]
  const program = `${head('X0. Y-31. Z40. A0.000 C0.')}N80 G1 Z2. F500\n${ways.map((y, i) => `N${100 + i} Y${y.toFixed(3)}`).join('\n')}\nN900 Z40.\nN910 M30\n%\n`
  const needed = Math.abs(Math.acos((3.6 - 0.15) / Math.hypot(4, 18.5)) - Math.atan(18.5 / 4)) * 180 / Math.PI

  test.each([45, 2, 1, 0.5])('with %f degrees a block: spread over as many as that takes, back to where the axis was', axisStep => {
    const wish = { tool, limits: { gouge: 0.01, axisStep, clearance: { shank: 0.15, neck: 0.05, holder: 0.1 } }, mesh: sheetOfMesh([0, 3.6, 60], [80, 0, 0], [0, 0, 60]) }
    const { before, after, answer } = mend(program, wish)
    expect(before.map(({ rule }) => rule)).toContain('shank-contact')
    expect(after).toEqual([])
    expect(answer.mended.flatMap(({ attempt }) => attempt.steps.map(({ step }) => step.by))).toEqual(['lean'])
    let lean = 0, most = 0, steps = 0
    for (const [, , word] of answer.text.matchAll(/^N(\d+) Y\S+ A(-?[\d.]+)/gm)) {
      expect(Math.abs(Number(word) - lean)).toBeLessThanOrEqual(axisStep)
      lean = Number(word)
      most = Math.max(most, Math.abs(lean))
      steps++
    }
    expect(lean).toBe(0)
    expect(most).toBeCloseTo(needed, 2)
    expect(steps).toBeGreaterThanOrEqual(2 * Math.ceil(needed / axisStep))
  })
})
