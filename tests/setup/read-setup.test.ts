import { describe, expect, it } from 'vitest'
import { readSetup } from '../../server/engine/setup/read-setup.ts'
import { changed, errorsOf, fullSheet, holder, sheetWith } from './example-files.ts'

const degree = Math.PI / 180

describe('a sheet that uses every key', () => {
  const { setup, problems } = readSetup({ path: '/job/inlet.setup.json', text: fullSheet })

  it('has no fault', () => {
    expect(problems).toEqual([])
  })

  it('comes out in mm and radians, with paths beside the sheet', () => {
    expect(setup).toMatchObject({
      unit: 1,
      programs: ['inlet.nc', 'op2/**/*.nc'],
      machinePath: '/job/trunnion.machine.json',
      offsets: { G54: { X: 0, Y: 0, Z: 150, A: 0, C: 0 }, G55: { X: 10, Y: 20, Z: 150, C: 90 * degree } },
      part: { path: '/job/inlet.stl', scale: 1, translate: [1, 2, 3], rotate: [90 * degree, 0, 45 * degree] },
      stock: { kind: 'box', min: [-40, -40, -50], max: [40, 40, 2] },
      fixtures: [{ name: 'vice jaw', clearance: 2 }],
      limits: { gouge: 0.02, stockToLeave: 0.1, clearance: { neck: 0.16, shank: 0.17, holder: 1.1, head: 5.1, rapid: 1.2 }, leftover: 0.06, axisStep: 4 * degree },
      passes: [{ tools: [3], from: 100, to: 4000, limits: { gouge: 0.03, clearance: { neck: 0.2 } }, axisThrough: { point: [0, 0, 60], within: 0.05 }, barriers: ['floor'], oneWay: true }],
      tools: [{
        number: 3, name: 'ball 4, relieved neck', cutter: { shape: 'ball', DC: 4, LCF: 6 }, neck: { DN: 3.7, LU: 24 },
        shank: { DCONMS: 6, BHTA: 15 * degree }, LPR: 38, NOF: 2, centreCutting: true, point: 'tip', lengthOffset: 13, radiusOffset: 23, radiusWear: -0.02, maxSpeed: 24000, maxFeed: 3000,
        holder: [{ diameter: 12, topDiameter: 20, length: 30 }, { diameter: 50, topDiameter: 50, length: 20 }],
      }],
      toolsSetAside: [],
    })
  })

  it.each([
    ['limits.gouge', '0.02'], ['limits.clearance.holder', '1.1'], ['passes.0.limits.gouge', '0.03'], ['tools.0.cutter.DC', '4'],
    ['offsets.G55.C', '90'], ['part.mesh', '"inlet.stl"'],
  ])('knows where %s stands', (name, text) => {
    const span = setup?.spans[name]
    expect(fullSheet.slice(span?.start, span?.end)).toBe(text)
  })
})

it('takes the usual limits where the sheet says nothing (common practice)', () => {
  const { setup, problems } = readSetup({ path: 'a.setup.json', text: sheetWith('') })
  expect(problems).toEqual([])
  expect(setup?.limits).toEqual({
    gouge: 0.01, stockToLeave: 0, clearance: { neck: 0.15, shank: 0.15, holder: 1, head: 5, rapid: 1 }, leftover: 0.05, axisStep: 5 * degree,
  })
  expect(setup).toMatchObject({ baseOffset: 'G54', machinePath: undefined, programs: [], passes: [], fixtures: [], barriers: [] })
})

it('turns a sheet in inches into mm, and leaves the mesh its own unit', () => {
  const text = sheetWith(`{ "number": 1, "cutter": { "shape": "bull", "DC": 0.5, "RE": 0.25, "LCF": 1 }, "LPR": 2, "maxFeed": 100, ${holder} }`, '"units": "inch", "limits": { "gouge": 0.001 }, ')
  const inch = readSetup({ path: 'a.setup.json', text: changed(text, '"part.stl"', '"part.stl", "units": "mm", "translate": [1, 0, 0]') })
  expect(inch.problems).toEqual([])
  expect(inch.setup).toMatchObject({ unit: 25.4, offsets: { G54: { Z: 3810 } }, limits: { gouge: 0.0254 }, part: { scale: 1, translate: [25.4, 0, 0] }, tools: [{ cutter: { DC: 12.7, RE: 6.35 }, LPR: 50.8, maxFeed: 2540 }] })
  expect(readSetup({ path: 'a.setup.json', text }).setup?.part?.scale).toBe(25.4)
})

/** What stands in the sheet, what is written instead, the words marked, and what is said. */
const faults: readonly [from: string, to: string, marked: string, says: string][] = [
  ['"limits": {', '"limts": {', '"limts"', '"limts" is not a key of the setup sheet; the nearest known key is "limits".'],
  ['"gouge": 0.02', '"gauge": 0.02', '"gauge"', 'the nearest known key is "gouge"'],
  ['"neck": 0.16', '"kneck": 0.16', '"kneck"', 'nearest known key is "neck"'],
  ['"LPR": 38', '"lpr": 38, "LPR": 38', '"lpr"', 'nearest known key is "LPR"'],
  ['"DC": 4, "LCF"', '"DC": 4, "RE": 2, "LCF"', '"RE"', '"RE" is not a key of the ball cutter of tool 3'],
  ['"holder": [{ "diameter": 12,', '"holder": [{ "diametr": 12, "diameter": 12,', '"diametr"', 'nearest known key is "diameter"'],
  ['"G55"', '"G53"', '"G53"', '"G53" is not a work offset'],
  ['"X": 10', '"Q": 1, "X": 10', '"Q"', '"Q" is not a key of G55'],
  ['"Y": 20, ', '', '{', 'G55 has no "Y"'],
  ['"baseOffset": "G54"', '"baseOffset": "G56"', '"G56"', 'G56, which "offsets" does not give; it gives G54, G55'],
  ['"units": "mm",\n', '"units": "cm",\n', '"cm"', 'write "mm" or "inch"'],
  ['"gouge": 0.02', '"gouge": "0.02"', '"0.02"', 'write it without quotes: 0.02'],
  ['"gouge": 0.02', '"gouge": -0.02', '-0.02', 'write a number of 0 or more'],
  ['"gouge": 0.02', '"gouge": null', 'null', '"gouge" of limits is still to be filled in'],
  ['"gouge": 0.02', '"gouge": 1e400', '1e400', '"gouge" of limits is Infinity'],
  ['"gouge": 0.02', '"gouge": 0.02, "gouge": 0.5', '"gouge"', 'stands twice in limits'],
  ['"axisStep": 4', '"axisStep": 0', '0', 'write a number above 0'],
  ['"programs": ["inlet.nc", "op2/**/*.nc"]', '"programs": "inlet.nc"', '"inlet.nc"', 'write a list in brackets'],
  ['["inlet.nc",', '[7,', '7', 'each entry of the list is a text'],
  ['"mesh": "inlet.stl"', '"mesh": 5', '5', '"mesh" of the part is 5'],
  ['"mesh": "inlet.stl", ', '', '{', 'The part has no "mesh"'],
  ['[1, 2, 3]', '[1, 2]', '[1, 2]', 'write three numbers in brackets'],
  ['[1, 2, 3]', '[1, 2, "3"]', '[1, 2, "3"]', 'write three numbers in brackets'],
  ['"part": {', '"part": [], "old": {', '[]', '"part" of the setup sheet is a list of 0; write an object in braces'],
  ['"min": [-40, -40, -50]', '"min": [-40, 60, -50]', '[40, 40, 2]', 'no room in Y'],
  ['"stock": { "box"', '"stock": { "offset": 1, "box"', '"stock"', 'as box and offset at once'],
  ['"stock": { "box": { "min": [-40, -40, -50], "max": [40, 40, 2] } }', '"stock": {}', '"stock"', 'no shape'],
  ['"tools": [3],', '"tools": [4],', '4', 'for tool 4, which the sheet does not give; its tools are 3'],
  ['"barriers": ["floor"]', '"barriers": ["flor"]', '["flor"]', 'the barrier "flor", which the sheet does not give; its barriers are "floor"'],
  ['"from": "N100"', '"from": 100', '100', 'write the sequence number of a block, for example "N100"'],
  ['"from": "N100"', '"from": "N5000"', '"N4000"', 'from N5000 to N4000, backwards'],
  ['"oneWay": true', '"oneWay": "yes"', '"yes"', 'write true or false, without quotes'],
  ['"within": 0.05', '"within": 0', '0', '"within" of "axisThrough" of pass 1 is 0'],
  ['"number": 3,', '"number": 3.5,', '3.5', 'write a whole number of 1 or more'],
  ['"number": 3,', '', '{', 'Entry 1 of "tools" has no "number"'],
]

describe('one fault, one problem at its place', () => {
  it.each(faults)('%s → %s', (from, to, marked, says) => {
    const text = changed(fullSheet, from, to)
    const errors = errorsOf(readSetup({ path: '/job/inlet.setup.json', text }).problems)
    const first = errors.find(error => error.message.includes(says))
    expect(first?.message, errors.map(error => error.message).join('\n')).toContain(says)
    expect(text.slice(first?.span.start, first?.span.end)).toBe(marked)
    expect(first?.file).toBe('/job/inlet.setup.json')
    // A tool or an offset that falls out may be missed elsewhere; nothing else may follow.
    expect(errors.length).toBeLessThanOrEqual(/number|tools|old/.test(from + to) ? 2 : 1)
  })

  it('uses the rest of the sheet', () => {
    const { setup } = readSetup({ path: 'a', text: changed(fullSheet, '"gouge": 0.02', '"gouge": "small"') })
    expect(setup?.limits).toMatchObject({ gouge: 0.01, leftover: 0.06 })
    expect(setup?.tools.length).toBe(1)
  })
})

describe('what is at fault is left out rather than taken half', () => {
  it.each([['"units": "mm", "translate"', '"units": "m", "translate"'], ['[90, 0, 45]', '[90, 0]'], ['"translate"', '"transalte"']])('a part whose place is not known: %s → %s', (from, to) => {
    const { setup, problems } = readSetup({ path: 'a', text: changed(fullSheet, from, to) })
    expect(setup?.part).toBeUndefined()
    expect(errorsOf(problems).length).toBe(1)
  })

  it('a work offset with a figure that cannot be read', () => {
    const { setup, problems } = readSetup({ path: 'a', text: changed(fullSheet, '"Z": 150, "A"', '"Z": "high", "A"') })
    expect(Object.keys(setup?.offsets ?? {})).toEqual(['G55'])
    expect(errorsOf(problems).length).toBe(1)
  })
})

describe('a sheet that is not there in full', () => {
  it('asks for the work offsets', () => {
    const [problem, ...others] = readSetup({ path: 'a', text: '{ "part": { "mesh": "a.stl" } }' }).problems
    expect(problem).toMatchObject({ rule: 'setup-error', span: { start: 0, end: 1 } })
    expect(problem.message).toContain('has no "offsets"; write where the program zero lies')
    expect(others).toEqual([])
  })

  it('says that without a part no contact is searched', () => {
    const { problems } = readSetup({ path: 'a', text: '{ "offsets": { "G54": { "X": 0, "Y": 0, "Z": 0 } } }' })
    expect(problems.map(problem => [problem.rule, problem.level])).toEqual([['not-checked', 'warning']])
  })

  it('asks for the base offset', () => {
    const errors = errorsOf(readSetup({ path: 'a', text: '{ "offsets": { "G55": { "X": 0, "Y": 0, "Z": 0 } } }' }).problems)
    expect(errors.map(error => error.message)).toEqual([expect.stringContaining('hangs on G54, which "offsets" does not give; it gives G55')])
  })
})

describe('a text that is not JSON', () => {
  it.each([
    ['', 'The file is empty'],
    ['   // nothing\n', 'The file is empty'],
    ['[1, 2]', 'one object in braces'],
    ['{ "units": "mm"', 'A brace } is missing'],
    ['{ "units": mm }', 'neither a number, a key or text in double quotes'],
    ['{ "units" "mm" }', 'A colon is missing'],
    ['{ "units": "mm" "programs": [] }', 'A comma is missing'],
    ['{ "units": "mm }', 'not closed with a double quote'],
    ['{ /* "units": "mm" }', 'not closed with */'],
    ['{ units: "mm" }', 'a key or text in double quotes'],
    ['{ "machine": "C:\\mill.json" }', 'cannot follow a backslash'],
    ['\u0000\u0001\u0002', 'neither a number'],
  ])('%j gives one problem', (text, says) => {
    const { setup, problems } = readSetup({ path: 'a.setup.json', text })
    expect(setup).toBeUndefined()
    expect(problems.map(problem => problem.rule)).toEqual(['setup-error'])
    expect(problems[0].message).toContain(says)
    expect(problems[0].span.end).toBeLessThanOrEqual(text.length)
  })

  it.each(['[', '{"a":'])('100,000 times %s costs no stack', opening => {
    const { setup, problems } = readSetup({ path: 'a', text: opening.repeat(100_000) })
    expect(setup).toBeUndefined()
    expect(problems.map(problem => problem.message)).toEqual([expect.stringContaining('nested more than 64 deep')])
  })

  it('passes over a byte order mark and keeps every place', () => {
    const text = '\uFEFF' + changed(fullSheet, '"gouge": 0.02', '"gouge": []')
    const [problem] = errorsOf(readSetup({ path: 'a', text }).problems)
    expect(text.slice(problem.span.start, problem.span.end)).toBe('[]')
  })
})

it('gives each tool number one tool', () => {
  const tool = (number: number) => `{ "number": ${number}, "cutter": { "shape": "flat", "DC": 10, "LCF": 20 }, "LPR": 40, ${holder} }`
  const twice = readSetup({ path: 'a', text: sheetWith(`${tool(1)}, ${tool(2)}, ${tool(1)}`) })
  expect(twice.setup?.tools.map(found => found.number)).toEqual([1, 2])
  expect(twice.problems.map(problem => problem.message)).toEqual(['Tool 1 stands twice in the sheet; keep one, or give the other its own number.'])
  // A motion keeps its tool in one byte.
  const many = readSetup({ path: 'a', text: sheetWith(Array.from({ length: 300 }, (_, i) => tool(i + 1)).join()) })
  expect(many.setup?.tools.length).toBe(254)
  expect(many.setup?.toolsSetAside?.length).toBe(46)
  expect(many.problems.map(problem => problem.message)).toEqual([expect.stringContaining('gives 300 tools; only the first 254 are used')])
})
