import { describe, expect, it } from 'vitest'
import { cutterOutline, endOfStep } from '../../shared/cutter-outline.ts'
import { cornerHeight } from '../../shared/tool-length.ts'
import { buildAssembly } from '../../server/engine/contact/assembly.ts'
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

  it('a lollipop ends where its neck meets the ball, unless its flutes go on', () => {
    const read3 = (more: string) => read(`{ ${base}, "point": "centre", "cutter": { "shape": "lollipop", "DC": 6, "DN": 3${more} } }`)
    // Meeting of ball and neck by Pythagoras: 3 + √(3² − 1.5²) = 5.598076.
    expect(read3('').problems).toEqual([])
    expect(read3('').tools[0].cutter).toMatchObject({ shape: 'lollipop', DC: 6, DN: 3, LCF: expect.closeTo(5.598076, 6) })
    expect(read3(', "LCF": 9').tools[0].cutter).toMatchObject({ LCF: 9 })
  })
})

/** The seven parameters of the cutter statement (ISO 3592) as they stand for common shapes. */
const statements: readonly [name: string, figures: string, DC: number, corner: number][] = [
  ['flat', '"d": 10, "r": 0, "e": 5, "f": 0, "a": 0, "b": 0, "h": 30', 10, 0],
  ['ball', '"d": 10, "r": 5, "e": 0, "f": 5, "a": 0, "b": 0, "h": 30', 10, 5],
  ['bull', '"d": 10, "r": 2, "e": 3, "f": 2, "a": 0, "b": 0, "h": 30', 10, 2],
  ['taper ball r3 b5°', '"d": 5.497987, "r": 3, "e": 0, "f": 3, "a": 0, "b": 5, "h": 40', 2 * 6.248540, 3],
  ['taper bull d20 r3 b5°', '"d": 20, "r": 3, "e": 7.251006, "f": 3, "a": 0, "b": 5, "h": 40', 2 * (7.251006 + 3 * Math.cos(5 * degree) + (37 + 3 * Math.sin(5 * degree)) * Math.tan(5 * degree)), 3],
  ['a10° r2 d12', '"d": 12, "r": 2, "e": 4, "f": 2.736161, "a": 10, "b": 0, "h": 30', 12, 2.736161],
  ['118° drill d10', '"d": 10, "r": 0, "e": 5, "f": 3.004303, "a": 31, "b": 0, "h": 30', 10, 0],
]

describe('the seven parameters', () => {
  it.each(statements)('%s', (_, figures, DC, corner) => {
    const { tools, problems } = read(`{ "number": 7, "LPR": 60, "holder": [{ "diameter": 40, "length": 9 }], "cutter": { "shape": "apt", ${figures} } }`)
    expect(problems).toEqual([])
    expect(tools[0].cutter.shape).toBe('apt')
    expect(tools[0].cutter.DC).toBeCloseTo(DC, 5)
    expect(cornerHeight(tools[0].cutter) ?? 0).toBe(corner)
  })

  it('the corner touches both lines where the closed form says', () => {
    const stepsOf = (figures: string) => {
      const { tools } = read(`{ "number": 7, "LPR": 60, ${holder}, "cutter": { "shape": "apt", ${figures} } }`)
      return cutterOutline(tools[0].cutter)
    }
    const [ball, flank] = stepsOf(statements[3][1])
    expect(ball.kind).toBe('arc')
    expect(endOfStep(ball)).toEqual([expect.closeTo(2.988584, 6), expect.closeTo(2.738533, 6)])
    expect(endOfStep(flank)).toEqual([expect.closeTo(6.248540, 6), 40])
    const [face] = stepsOf(statements[5][1])
    expect(endOfStep(face)).toEqual([expect.closeTo(4.347296, 6), expect.closeTo(0.766546, 5)])
    const [point] = stepsOf(statements[6][1])
    expect(endOfStep(point)).toEqual([5, expect.closeTo(3.004303, 6)])
  })

  it('what lies above the flutes is its neck', () => {
    const { tools } = read(`{ ${base}, "cutter": { "shape": "apt", ${statements[2][1]}, "LCF": 12 } }`)
    expect(tools[0].cutter).toMatchObject({ LCF: 12, h: 30 })
    const [cutter, neck] = buildAssembly(tools[0]).shapes.map(({ pieces }) => pieces.map(({ bottom, top }) => [bottom, top]))
    expect([cutter, neck]).toEqual([[[0, 12]], [[12, 30]]])
  })
})

describe('an outline', () => {
  it('takes points and arcs, upward, outward and inward', () => {
    // A disc of 12 on a neck of 6, its lower edge rounded by 1, a fillet of 2 between them.
    const { tools, problems } = read(`{ ${base}, "cutter": { "shape": "profile", "LCF": 4, "outline": [[5, 0], { "to": [6, 1], "radius": 1 }, [6, 4], [5, 4], { "to": [3, 6], "radius": 2, "hollow": true }, [3, 20]] } }`)
    expect(problems).toEqual([])
    const { cutter } = tools[0]
    expect(cutter).toMatchObject({ shape: 'profile', DC: 12, LCF: 4 })
    const steps = cutterOutline(cutter)
    expect(steps[0]).toEqual({ kind: 'arc', centre: [expect.closeTo(5, 12), expect.closeTo(1, 12)], radius: 1, fromAngle: expect.closeTo(-Math.PI / 2, 7), toAngle: expect.closeTo(0, 7) })
    expect(steps[3]).toEqual({ kind: 'arc', centre: [expect.closeTo(5, 12), expect.closeTo(6, 12)], radius: 2, fromAngle: expect.closeTo(1.5 * Math.PI, 7), toAngle: expect.closeTo(Math.PI, 7) })
    expect(steps.map(endOfStep).at(-1)).toEqual([3, 20])
    expect(buildAssembly(tools[0]).shapes.map(({ excess }) => excess > 0)).toEqual([false, true, false, false])
  })

  it('is in the unit of the sheet', () => {
    const { setup, problems } = readSetup({ path: 'a', text: sheetWith('{ "number": 1, "LPR": 2, "cutter": { "shape": "profile", "outline": [[0, 0], { "to": [0.25, 0.25], "radius": 0.25 }, [0.25, 1]] }, "holder": [{ "diameter": 1, "length": 1 }] }', '"units": "inch", ') })
    expect(problems).toEqual([])
    expect(setup?.tools[0].cutter).toMatchObject({ DC: expect.closeTo(12.7, 9), LCF: 25.4 })
  })
})

const cut = '"cutter": { "shape": "ball", "DC": 4, "LCF": 6 }'

const profile = (outline: string) => `{ ${base}, "cutter": { "shape": "profile", "outline": ${outline} } }`

/** A tool whose figures cannot hold together (relations of ISO 13399 dimensions; common practice). */
const contradictions: readonly [tool: string, marked: string, says: string][] = [
  [`{ ${base}, "cutter": { "shape": "bull", "DC": 10, "RE": 5.1, "LCF": 20 } }`, '5.1', 'RE 5.1 mm is more than half of DC 10 mm; a corner radius is at most 5 mm'],
  [`{ ${base}, "cutter": { "shape": "ball", "DC": 10, "LCF": 4 } }`, '4', 'LCF 4 mm is shorter than its own radius, 5 mm high'],
  [`{ ${base}, "cutter": { "shape": "drill", "DC": 10, "SIG": 118, "LCF": 3 } }`, '3', 'shorter than its point, 3.0043 mm high'],
  [`{ ${base}, "cutter": { "shape": "taper", "RE": 3, "BHTA": 5, "DC": 5 } }`, '5', 'no wider than the ball of its tip'],
  [`{ ${base}, "cutter": { "shape": "taper", "RE": 1, "BHTA": 5, "DC": 9, "LCF": 20 } }`, '9', 'not DC 9 mm'],
  [`{ ${base}, "cutter": { "shape": "taper", "RE": 1, "BHTA": 5 } }`, '{', 'has no "LCF"'],
  [`{ ${base}, "cutter": { "shape": "lollipop", "DC": 3, "DN": 3 } }`, '3', 'not thinner than DC'],
  [`{ ${base}, "cutter": { "shape": "lollipop", "DC": 6, "DN": 3, "LCF": 5 } }`, '5', 'shorter than the ball up to its neck, 5.59808 mm high'],
  [`{ ${base}, "cutter": { "shape": "apt", "d": 12, "r": 2, "e": 4, "f": 2, "a": 10, "b": 0, "h": 30 } }`, '2', 'touches the lower line when f is 2.73616 mm, not 2 mm'],
  [`{ ${base}, "cutter": { "shape": "apt", "d": 10, "r": 3, "e": 0, "f": 3, "a": 0, "b": 5, "h": 30 } }`, '10', 'when d is 5.49799 mm, not with d 10 mm'],
  [`{ ${base}, "cutter": { "shape": "apt", "d": 10, "r": 1, "e": 4, "f": 9, "a": 60, "b": 40, "h": 30 } }`, '40', 'make more than 90° together'],
  [`{ ${base}, "cutter": { "shape": "apt", "d": 10, "r": 5, "e": 0, "f": 5, "a": 0, "b": -45, "h": 30 } }`, '10', 'when d is 24.1421 mm'],
  [`{ ${base}, "cutter": { "shape": "apt", "d": 10, "r": 0, "e": 5, "f": 0, "a": 0, "b": -45, "h": 30 } }`, '30', 'meets the axis below h 30 mm'],
  [`{ ${base}, "cutter": { "shape": "apt", "d": 10, "r": 2, "e": 3, "f": 2, "a": 0, "b": 0, "h": 30, "LCF": 31 } }`, '31', 'longer than the cutter itself, h 30 mm'],
  [`{ ${base}, "cutter": { "shape": "apt", "d": 10, "r": 2, "e": 3, "f": 2, "a": 0, "b": 0, "h": 50, "LCF": 20 } }`, '40', 'outline, 50 mm high, is longer than the stick-out LPR 40 mm'],
  [profile('[[0, 0]]'), '[[0, 0]]', 'has 1 point; write at least two'],
  [profile('[[3, 1], [3, 8]]'), '[3, 1]', 'begins at height 1 mm'],
  [profile('[[5, 0], [5, 6], [4, 5]]'), '[4, 5]', 'goes down from height 6 mm to 5 mm'],
  [profile('[[5, 0], [5, 6], [5, 6]]'), '[5, 6]', 'stands twice'],
  [profile('[[5, 0], [5, 6], [8, 6], [6, 6]]'), '[6, 6]', 'goes back along the run before it'],
  [profile('[[5, 0], [0, 6]]'), '[0, 6]', 'only the tip may lie on the axis'],
  [profile('[[5, 0], [6, 0]]'), '[[5, 0], [6, 0]]', 'has no height'],
  [profile('[[5, 0], [5, 6], [8, 6]]'), '[[5, 0], [5, 6], [8, 6]]', 'a disc without thickness'],
  [profile('[[5, 0], [5, "6"]]'), '[5, "6"]', 'each entry is a point'],
  [profile('[{ "to": [5, 0], "radius": 3 }, [5, 6]]'), '{ "to": [5, 0], "radius": 3 }', 'begins with a point'],
  [profile('[[5, 0], { "to": [5, 8], "radius": 3 }]'), '{ "to": [5, 8], "radius": 3 }', 'of radius 3 mm does not reach from [5, 0] to [5, 8], which are 8 mm apart'],
  [profile('[[5, 0], { "to": [8, 1], "radius": 2 }, [8, 9]]'), '{ "to": [8, 1], "radius": 2 }', 'runs below or above its own ends'],
  [profile('[[5, 0], { "to": [5, 18], "radius": 9, "hollow": true }, [8, 19]]'), '{ "to": [5, 18], "radius": 9, "hollow": true }', 'cuts through the axis'],
  [profile('[[90, 0], { "to": [5, 85], "radius": 85, "hollow": true }]'), '{ "to": [5, 85], "radius": 85, "hollow": true }', 'too long to be followed within 0.0002 mm'],
  [profile('[[5, 0], { "radius": 9 }]'), '{', 'has no "to"'],
  [profile('[[5, 0], [5, 9]], "LCF": 12'), '12', 'longer than its outline is high, 9 mm'],
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
