import { describe, expect, it } from 'vitest'
import { readSetup } from '../../server/engine/setup/read-setup.ts'
import { holder, sheetWith } from './example-files.ts'

const degree = Math.PI / 180

function read(tool: string) {
  const text = sheetWith(tool)
  const { setup, problems } = readSetup({ path: 'a.setup.json', text })
  return { tools: setup?.tools ?? [], aside: setup?.toolsSetAside ?? [], problems, marked: problems.map(({ span }) => text.slice(span.start, span.end)) }
}

const base = `"number": 7, "LPR": 40, ${holder}`

describe('cutters', () => {
  it.each([
    ['{ "shape": "flat", "DC": 10, "LCF": 20 }', { shape: 'flat', DC: 10, LCF: 20 }],
    ['{ "shape": "ball", "DC": 10, "LCF": 20 }', { shape: 'ball', DC: 10, LCF: 20 }],
    ['{ "shape": "bull", "DC": 10, "RE": 5, "LCF": 20 }', { shape: 'bull', DC: 10, RE: 5, LCF: 20 }],
    ['{ "shape": "drill", "DC": 10, "SIG": 118, "LCF": 20 }', { shape: 'drill', DC: 10, SIG: 118 * degree, LCF: 20 }],
  ])('%s', (cutter, wanted) => {
    const { tools, problems } = read(`{ ${base}, "cutter": ${cutter} }`)
    expect(problems).toEqual([])
    expect(tools[0]).toMatchObject({ number: 7, name: 'tool 7', lengthOffset: 7, point: 'tip', centreCutting: true, cutter: wanted })
  })

  it('a taper gives its widest diameter from its length, and the other way round', () => {
    // Tangent of a 3 mm ball and a flank of 5 degrees: radius 6.248540 at height 40 (closed form of the seven-parameter cutter, ISO 3592).
    const byLength = read('{ "number": 7, "LPR": 60, "holder": [{ "diameter": 20, "length": 9 }], "cutter": { "shape": "taper", "RE": 3, "BHTA": 5, "LCF": 40 } }')
    expect(byLength.problems).toEqual([])
    expect(byLength.tools[0].cutter.DC).toBeCloseTo(2 * 6.248540, 6)
    const byDiameter = read('{ "number": 7, "LPR": 60, "holder": [{ "diameter": 20, "length": 9 }], "cutter": { "shape": "taper", "RE": 3, "BHTA": 5, "DC": 12.49708 } }')
    expect(byDiameter.problems).toEqual([])
    expect(byDiameter.tools[0].cutter.LCF).toBeCloseTo(40, 4)
  })

  it('a sharp taper needs no tip radius but 0', () => {
    const { tools, problems } = read(`{ ${base}, "cutter": { "shape": "taper", "RE": 0, "BHTA": 45, "LCF": 5 } }`)
    expect(problems).toEqual([])
    expect(tools[0].cutter.DC).toBeCloseTo(10, 12)
  })

  it.each(['lollipop', 'apt', 'profile'])('%s is read, named as not simulated, and never taken for another shape', shape => {
    const keys = { lollipop: '"DC": 6, "DN": 3', apt: '"d": 10, "r": 2, "e": 3, "f": 2, "a": 0, "b": 0, "h": 30', profile: '"outline": [[0, 0], [3, 0], [3, 8]]' }[shape]
    const { tools, aside, problems, marked } = read(`{ ${base}, "name": "undercutter", "cutter": { "shape": "${shape}", ${keys} } }`)
    expect(tools).toEqual([])
    expect(aside).toMatchObject([{ number: 7, name: 'undercutter', lengthOffset: 7, shape }])
    expect(problems).toMatchObject([{ rule: 'not-checked', level: 'warning' }])
    expect(problems[0].message).toContain(`Tool 7 (undercutter) has a cutter of shape "${shape}"`)
    expect(marked[0]).toContain(shape)
  })
})

const cut = '"cutter": { "shape": "ball", "DC": 4, "LCF": 6 }'

/** A tool whose figures cannot hold together (relations of ISO 13399 dimensions; common practice). */
const contradictions: readonly [tool: string, marked: string, says: string][] = [
  [`{ ${base}, "cutter": { "shape": "bull", "DC": 10, "RE": 5.1, "LCF": 20 } }`, '5.1', 'RE 5.1 mm is more than half of DC 10 mm; a corner radius is at most 5 mm'],
  [`{ ${base}, "cutter": { "shape": "ball", "DC": 10, "LCF": 4 } }`, '4', 'LCF 4 mm is shorter than its own radius, 5 mm high'],
  [`{ ${base}, "cutter": { "shape": "drill", "DC": 10, "SIG": 118, "LCF": 3 } }`, '3', 'shorter than its point, 3.0043 mm high'],
  [`{ ${base}, "cutter": { "shape": "taper", "RE": 3, "BHTA": 5, "DC": 5 } }`, '5', 'no wider than the ball of its tip'],
  [`{ ${base}, "cutter": { "shape": "taper", "RE": 1, "BHTA": 5, "DC": 9, "LCF": 20 } }`, '9', 'not DC 9 mm'],
  [`{ ${base}, "cutter": { "shape": "taper", "RE": 1, "BHTA": 5 } }`, '{', 'has no "LCF"'],
  [`{ ${base}, "cutter": { "shape": "lollipop", "DC": 3, "DN": 3 } }`, '3', 'not thinner than DC'],
  [`{ ${base}, "cutter": { "shape": "flat", "DC": 10, "LCF": 41 } }`, '40', 'LCF 41 mm are longer than the stick-out LPR 40 mm'],
  [`{ ${base}, ${cut}, "neck": { "DN": 3.7, "LU": 5 } }`, '5', 'the neck ends LU 5 mm above the tip, below the end of the flutes, LCF 6 mm'],
  [`{ ${base}, ${cut}, "neck": { "DN": 3.7, "LU": 45 } }`, '45', 'inside the holder, whose face is at LPR 40 mm'],
  [`{ ${base}, ${cut}, "shank": { "DCONMS": 21 } }`, '21', 'DCONMS 21 mm is wider than the face of the holder that clamps it, 20 mm'],
  [`{ ${base}, ${cut}, "shank": { "DCONMS": 16, "BHTA": 5 } }`, '5', 'would end 74.5803 mm above the tip'],
  [`{ ${base}, "cutter": { "shape": "flat", "DC": 10, "LCF": 20 }, "point": "centre" }`, '"centre"', 'a flat cutter has no corner radius'],
  [`{ ${base}, "cutter": { "shape": "bell", "DC": 4, "LCF": 6 } }`, '"bell"', '(nearest: "ball")'],
  [`{ ${base}, "cutter": { "DC": 4, "LCF": 6 } }`, '{', 'has no "shape"'],
  [`{ ${base} }`, '{', 'Tool 7 has no "cutter"'],
  [`{ ${base}, "cutter": "ball" }`, '"ball"', 'write an object in braces'],
  [`{ "number": 7, ${cut}, ${holder} }`, '{', 'Tool 7 has no "LPR"'],
  [`{ "number": 7, "LPR": -38, ${cut}, ${holder} }`, '-38', 'write a number above 0'],
  [`{ "number": 7, "LPR": 38, ${cut}, "holder": [{ "diameter": 0, "length": 5 }] }`, '0', '"diameter" of holder segment 1 of tool 7 is 0'],
  [`{ "number": 7, "LPR": 38, ${cut}, "holder": [{ "diameter": 10 }] }`, '{', 'Holder segment 1 of tool 7 has no "length"'],
  [`{ "number": 7, "LPR": 38, ${cut}, "holder": { "diameter": 10, "length": 5 } }`, '{ "diameter": 10, "length": 5 }', 'write a list in brackets'],
  [`{ ${base}, ${cut}, "neck": { "LU": 20 } }`, '{', 'The neck of tool 7 has no "DN"'],
  [`{ ${base}, ${cut}, "point": "tips" }`, '"tips"', 'write "tip" or "centre"'],
]

describe('a tool that cannot be so is set aside, with one problem at the figure', () => {
  it.each(contradictions)('%s', (tool, place, says) => {
    const { tools, aside, problems, marked } = read(tool)
    expect(problems.map(problem => problem.rule)).toEqual(['setup-error'])
    expect(problems[0].message).toContain(says)
    expect(marked).toEqual([place])
    expect(tools).toEqual([])
    expect(aside.map(found => found.number)).toEqual([7])
  })
})

it('says what is not checked for a tool without a holder', () => {
  const { tools, problems } = read(`{ "number": 7, "LPR": 40, ${cut} }`)
  expect(tools.length).toBe(1)
  expect(problems).toMatchObject([{ rule: 'not-checked', level: 'note', message: expect.stringContaining('nothing is checked above its stick-out of 40 mm') }])
})

it('a figure that fits to the last bit after conversion from inches is no contradiction', () => {
  const tool = '{ "number": 1, "LPR": 0.3, "cutter": { "shape": "bull", "DC": 0.2, "RE": 0.1, "LCF": 0.3 }, "neck": { "DN": 0.1, "LU": 0.3 }, "shank": { "DCONMS": 0.7 }, "holder": [{ "diameter": 0.7, "length": 1 }] }'
  expect(readSetup({ path: 'a', text: sheetWith(tool, '"units": "inch", ') }).problems).toEqual([])
})
