import { describe, expect, test } from 'vitest'
import { parseJson, type JsonNode } from '../../server/engine/setup/json-tree.ts'
import { draftSetup, openScene } from '../../server/engine/service.ts'

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

function draft(text: string, name = 'bracket.nc') {
  return draftSetup({ path: name, text }, name)
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
