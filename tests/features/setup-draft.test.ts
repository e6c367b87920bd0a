import { describe, expect, test } from 'vitest'
import { parseJson, type JsonNode } from '../../server/engine/setup/json-tree.ts'
import { faultOfAnswer, isAsked, numbersIn, stepsIn, suggestionOf, type SetupQuestion } from '../../shared/setup-questions.ts'
import { openScene, startSetup, type SheetFiles } from '../../server/engine/service.ts'

const program = `%
O0007 (BRACKET)
(T1 BALL 6 R3)
(TOOL NO. 12: BULL 10 R1, LONG)
(H12 IS MEASURED TO THE TIP)
N10 G17 G21 G40 G49 G54 G80 G90 G94
N20 T1 M6
N30 S8000 M3
N40 G0 X-10. Y5. A-30.
N50 G43 H1 Z20.
N60 G1 Z-1.5 F300.
N70 X40. F800.
N80 G53 G0 Z0.
N90 T12 M6 (STICK-OUT 60)
N100 G55 S4000 M3
N110 G0 X0. Y0.
N120 G43 H12 Z5.
N130 G41 D32 G1 X-20. Y60. F500.
N140 G40 Y70.
N150 G53 G0 Z0.
N160 M30
%
`

function start(text: string, files: SheetFiles = { machines: [], meshes: [] }, name = 'bracket.nc') {
  return startSetup({ path: name, text }, name, files)
}

function draft(text: string, name = 'bracket.nc') {
  return start(text, undefined, name).draft()
}

/** Answers every question that is asked, with what it suggests or else with these words. */
function answerAll(questions: readonly SetupQuestion[], words: Readonly<Record<string, string>>): Record<string, string> {
  const answers: Record<string, string> = {}
  for (const question of questions) {
    if (!isAsked(question, answers)) continue
    const answer = words[question.key] ?? suggestionOf(question, answers)
    if (answer === undefined) throw new Error(`${question.key} has no answer`)
    expect(faultOfAnswer(question, answer)).toBeUndefined()
    answers[question.key] = answer
  }
  return answers
}

function sceneOf(text: string) {
  return openScene({ path: 'bracket.setup.json', text }, undefined)
}

/** Places of all nulls. */
function nulls(node: JsonNode): number[] {
  switch (node.kind) {
    case 'null': return [node.span.start]
    case 'array': return node.items.flatMap(nulls)
    case 'object': return node.members.flatMap(member => nulls(member.value))
    default: return []
  }
}

describe('a sheet started from a program', () => {
  test('has an entry for each tool with its H and D numbers, the offsets and the rotary axes it uses', () => {
    const { text, tools } = draft(program)
    expect(tools).toEqual([1, 12])
    expect(text).toContain('"number": 1, "name": "tool 1"')
    expect(text).toMatch(/"lengthOffset": 12 /)
    expect(text).toMatch(/"radiusOffset": 32,/)
    expect(text).toContain('"G54": { "X": null, "Y": null, "Z": null, "A": null },')
    expect(text).toContain('"G55": { "X": null, "Y": null, "Z": null, "A": null }\n')
  })

  test('quotes the comments that name a tool, its H number or stand at its change, and no other tool\'s', () => {
    const [ofOne, ofTwelve] = draft(program).text.split('    // T12: ')
    expect(ofOne).toContain('//   (T1 BALL 6 R3)')
    expect(ofOne).not.toContain('LONG')
    expect(ofTwelve).toContain('//   (STICK-OUT 60)')
    expect(ofTwelve).toContain('//   (TOOL NO. 12: BULL 10 R1, LONG)')
    expect(ofTwelve).toContain('//   (H12 IS MEASURED TO THE TIP)')
  })

  test('gives the reach of the blocks without places in machine coordinates, and the blocks of each tool', () => {
    const { text } = draft(program)
    expect(text).toContain('// X -20 to 40, Y 0 to 70, Z -1.5 to 20, A -30 to -30°')
    expect(text).toContain('// T1: lines 7 to 13 (N20 to N80); S 8000; F 300 to 800.')
    expect(text).toContain('// T12: lines 14 to 21 (N90 to N160); S 4000; F 500.')
  })

  test('is told at each null, once, and is used for nothing until then', () => {
    const { text } = draft(program)
    const scene = sceneOf(text)
    const open = scene.findings.filter(({ message }) => message.includes('still to be filled in'))
    const { root } = parseJson(text)
    if (root === undefined) throw new Error('the sheet is no JSON')
    expect(open.map(({ span }) => span.start).sort((a, b) => a - b)).toEqual(nulls(root))
    expect(new Set(open.map(({ rule, level }) => `${level} ${rule}`))).toEqual(new Set(['error setup-error']))
    expect(scene.usable).toBe(false)
    expect(scene.setup?.tools).toEqual([])
  })

  test('a null machine is not taken for the built-in one', () => {
    const onlyMachine = '{ "machine": null, "offsets": { "G54": { "X": 0, "Y": 0, "Z": 0 } } }'
    expect(sceneOf(onlyMachine).usable).toBe(false)
  })

  test('filled in, it is a sheet without a finding of its own', () => {
    const values: readonly [RegExp, string][] = [
      [/ {2}"machine": null,/, ''], [/"shape": null/g, '"shape": "ball"'], [/"DC": null/g, '"DC": 6'], [/"LCF": null/g, '"LCF": 8'], [/"DCONMS": null/g, '"DCONMS": 6'],
      [/"LPR": null/g, '"LPR": 40'], [/"diameter": null, "length": null/g, '"diameter": 20, "length": 50'], [/"point": null/g, '"point": "tip"'],
      [/"mesh": null/, '"mesh": "bracket.stl"'], [/"units": null/, '"units": "mm"'], [/"([XYZA])": null/g, '"$1": 0'],
    ]
    const text = values.reduce((sheet, [from, to]) => sheet.replace(from, to), draft(program).text)
    const { findings, usable, setup } = sceneOf(text)
    expect(findings.map(({ rule }) => rule)).toEqual(['machine-not-given'])
    expect(usable).toBe(true)
    expect(setup?.tools.map(({ number, lengthOffset, radiusOffset }) => [number, lengthOffset, radiusOffset])).toEqual([[1, 1, undefined], [12, 12, 32]])
    expect(setup?.programs).toEqual(['bracket.nc'])
  })

  test('an inch program starts an inch sheet, limits and all', () => {
    const { text } = draft(program.replace('G21', 'G20'))
    expect(text).toContain('"units": "inch"')
    expect(text).toContain('"gouge": 0.0004,')
    expect(text).toContain('X -20 to 40')
  })

  test.each<[string, string]>([
    ['a program without a tool', 'G21 G0 X1.\nM30\n'],
    ['a program without motion', '(NOTHING)\n'],
    ['comments that look like JSON', '(T1 "*/ } ] {)\nT1 M6 (\u2028 X\u0007)\nG0 X1.\n'],
    ['no text at all', ''],
  ])('%s starts a sheet that can be read', (_what, text) => {
    expect(parseJson(draft(text, 'a "b".nc').text).fault).toBeUndefined()
    expect(sceneOf(draft(text).text).findings.filter(({ message }) => !message.includes('still to be filled in')).map(({ rule }) => rule)).toEqual(['not-checked'])
  })
})

describe('the questions that start a sheet', () => {
  const said = {
    'machine': 'built-in', 'offset.G54': '0 0 -380 0', 'offset.G55': 'X100.5 Y0 Z-380 A0', 'part.mesh': 'bracket.ply',
    'tool.1.LCF': '8', 'tool.1.LPR': '40', 'tool.1.holder': '20 50', 'tool.12.LCF': '12', 'tool.12.holder': '12 30; 40 25',
  }

  test('begin with what comments and folder suggest, and say where that comes from', () => {
    const { questions } = start(program, { machines: ['mill.machine.json'], meshes: ['bracket.stl', 'jaw.stl'] })
    const suggested = (key: string) => {
      const { suggestion, because } = questions.find(question => question.key === key) ?? {}
      return [suggestion, because]
    }
    expect(suggested('machine')).toEqual(['mill.machine.json', 'the only one found here'])
    expect(suggested('part.mesh')).toEqual([undefined, undefined])
    expect(suggested('tool.1.shape')).toEqual(['ball', 'the program says (T1 BALL 6 R3)'])
    expect(suggested('tool.1.DC')[0]).toBe('6')
    expect(suggested('tool.12.shape')[0]).toBe('bull')
    expect([suggested('tool.12.DC')[0], suggested('tool.12.RE')[0]]).toEqual(['10', '1'])
  })

  test('all answered make a sheet without a null and without a finding, for every kind of cutter', () => {
    const { questions, draft: draftOf } = start(program)
    for (const [shape, sizes] of Object.entries({ flat: {}, ball: {}, bull: { RE: '1' }, taper: { RE: '0.5', BHTA: '3' }, drill: { SIG: '118' }, lollipop: { DC: '6', DN: '3' } })) {
      const ofShape = Object.fromEntries(Object.entries({ shape, DC: '6', DCONMS: '6', ...sizes }).map(([name, value]) => [`tool.1.${name}`, value]))
      const answers = answerAll(questions, { ...said, 'tool.12.LPR': '60', ...ofShape })
      const { text, open, contradictions } = draftOf(answers), { root } = parseJson(text)
      expect(open).toBe(0)
      expect(contradictions).toEqual([])
      expect(root === undefined ? [-1] : nulls(root)).toEqual([])
      expect(text).not.toContain('FILL IN: ')
      const { findings, usable, setup } = sceneOf(text)
      expect(findings.map(({ rule, message }) => `${rule} ${message}`).filter(words => !words.startsWith('machine-not-given'))).toEqual([])
      expect(usable).toBe(true)
      expect(setup?.tools[0]?.cutter.shape).toBe(shape)
      expect(setup?.offsets['G55']).toMatchObject({ X: 100.5, Z: -380 })
      expect(setup?.tools[1]?.holder).toEqual([{ diameter: 12, topDiameter: 12, length: 30 }, { diameter: 40, topDiameter: 40, length: 25 }])
    }
  })

  test('left at any one of them make a sheet whose only faults are the values that are still missing', () => {
    const { questions, draft: draftOf } = start(program)
    const all = Object.entries(answerAll(questions, { ...said, 'tool.12.LPR': '60', 'tool.1.shape': 'ball' }))
    for (let n = 0; n <= all.length; n++) {
      const { text, open } = draftOf(Object.fromEntries(all.slice(0, n))), { root, fault } = parseJson(text)
      expect(fault).toBeUndefined()
      const faults = sceneOf(text).findings.filter(({ rule }) => rule === 'setup-error')
      expect(faults.filter(({ message }) => !/still to be filled in|The machine file was not read/.test(message))).toEqual([])
      expect(faults.length > 0).toBe(open > 0)
      expect(root === undefined ? 0 : nulls(root).length).toBe(faults.length)
    }
  })

  test('say what does not hold together in the answers', () => {
    const { questions, draft: draftOf } = start(program)
    const { contradictions } = draftOf(answerAll(questions, { ...said, 'tool.12.LPR': '60', 'tool.1.shape': 'ball', 'tool.1.LPR': '5' }))
    expect(contradictions).toEqual([expect.stringMatching(/flutes LCF 8 mm? are longer than the stick-out LPR 5/)])
  })

  test.each<[string, string, boolean]>([
    ['tool.1.LPR', '0', false], ['tool.1.LPR', '-3', false], ['tool.1.LPR', '38,5', false], ['tool.1.LPR', '1e3', false], ['tool.1.LPR', 'LPR38.5', true], ['tool.1.LPR', '38 5', false],
    ['offset.G54', '0 0 0', false], ['offset.G54', 'X1 Y-2.5 Z.5 A0', true], ['offset.G54', 'Y1 X2 Z3 A0', false], ['tool.1.shape', 'round', false],
    ['tool.1.holder', '20 40; 50', false], ['tool.1.holder', '20 40; 50 20', true], ['tool.1.holder', '0 40', false], ['machine', ' ', false], ['machine', '../shop/m.machine.json', true],
    ['tool.1.BHTA', '90', false], ['tool.1.RE', '0', true],
  ])('%s takes "%s": %s', (key, words, wanted) => {
    const question = start(program).questions.find(one => one.key === key)
    if (question === undefined) throw new Error(`${key} is not asked`)
    expect(faultOfAnswer(question, words) === undefined).toBe(wanted)
  })

  test('numbers are read as they are written', () => {
    expect(numbersIn('X1. y-2 Z.5', ['X', 'Y', 'Z'])).toEqual([1, -2, 0.5])
    expect(stepsIn('20 40;50 20.5')).toEqual([[20, 40], [50, 20.5]])
  })
})
