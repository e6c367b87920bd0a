import { describe, expect, test } from 'vitest'
import { head, Job, sheetOfMesh, type JobWish } from './job.ts'

// Each kind of correction as it stands in the text: it is that of elementary geometry, to the decimals of the program, and nine tenths of it are not enough.
// `lift` and `ease` stand in corrections.test.ts, `reach` in reach.test.ts.

const face = sheetOfMesh([0, 0, 0], [60, 0, 0], [0, 60, 0])
const ball = { cutter: { shape: 'ball', DC: 6, LCF: 10 }, LPR: 60, holder: [{ diameter: 8, length: 20 }], point: 'centre' }
const degrees = (radians: number) => radians * 180 / Math.PI, radians = (angle: number) => angle * Math.PI / 180

function mend(wish: JobWish) {
  const job = new Job(wish), rules = (text: string) => [...new Set(job.findings(text).map(({ rule }) => rule))].sort()
  const { text, mended } = job.mend()
  return { text, before: rules(wish.program), rules, stays: mended.map(({ remaining }) => remaining), steps: mended.flatMap(({ attempt }) => attempt.steps), figures: mended.flatMap(({ attempt }) => attempt.figures) }
}

/** The value of a letter in a block. */
function word(text: string, block: string, letter: string): number {
  const value = new RegExp(`^${block} .*?${letter}(-?[\\d.]+)`, 'm').exec(text)?.[1]
  if (value === undefined) throw new Error(`${block} has no ${letter} in\n${text}`)
  return Number(value)
}

/** The mended text with a share of what was changed in words: every one of the letter stands between `from` and what it has become. */
function lessOf(text: string, letter: string, from: number, share: number): string {
  return text.replaceAll(new RegExp(`(?<=^N\\d+ .*)${letter}(-?[\\d.]+)`, 'gm'), (_, value: string) => `${letter}${(from + share * (Number(value) - from)).toFixed(5)}`)
}

describe('nine tenths are not enough', () => {
  test('of a back-off: (depth − allowed)/cos of the lean, along the axis', () => {
    const lean = 37, depth = 0.2, allowed = 0.01
    const program = `${head(`X-20. Y0. Z8. A-${lean}. C0.`)}N80 G1 Z3.0000 F500\nN85 X-10.\nN90 X0. Y0.0000 Z${(3 - depth).toFixed(4)}\nN95 X10. Y0.0000 Z3.0000\nN100 Z8.\nN110 M30\n%\n`
    const { text, before, rules, stays, steps, figures } = mend({ program, tool: ball, limits: { gouge: allowed }, passes: [{ mend: [{ by: 'back-off' }] }], mesh: face })
    expect(before).toEqual(['gouge'])
    expect(rules(text)).toEqual([])
    const [y, z] = [word(text, 'N90', 'Y'), word(text, 'N90', 'Z') - (3 - depth)]
    expect(Math.abs(Math.hypot(y, z) - (depth - allowed) / Math.cos(radians(lean)))).toBeLessThan(3e-4)
    expect(Math.abs(Math.atan2(y, z)) - radians(lean)).toBeCloseTo(0, 2)
    // What is told is read off the text: how far the tool was moved, how deep it still goes, that nothing stays.
    expect(stays).toEqual([0])
    expect(steps[0].most).toBeCloseTo(Math.hypot(y, z), 6)
    expect(figures).toMatchObject([{ component: 'cutter', after: { value: expect.closeTo(word(text, 'N90', 'Z') - 3, 2) as number } }])
    const less = text.replace(/^N90 .*$/m, `N90 X0. Y${(0.9 * y).toFixed(4)} Z${(3 - depth + 0.9 * z).toFixed(4)}`)
    expect(rules(less)).toEqual(['gouge'])
  })

  test('of a lean: acos((wall − kept)/hypot(r, h)) − atan(h/r), from where the tool leans already', () => {
    // The shank's rim, 4 mm off the axis and 18.5 over the ball's centre, beside a wall 2.2 mm away.
    const tool = { ...ball, cutter: { shape: 'ball', DC: 3, LCF: 6 }, neck: { DN: 2.8, LU: 20 }, shank: { DCONMS: 8 } }
    const program = `${head('X0. Y-30. Z40. A3.0000 C0.')}N80 G1 Z2. F500\nN90 Y0.\nN100 Y-30.\nN110 Z40.\nN120 M30\n%\n`
    const { text, before, rules } = mend({ program, tool, limits: { gouge: 0.01, clearance: { shank: 0.15, neck: 0.05, holder: 0.1 } }, mesh: sheetOfMesh([0, 2.2, 60], [80, 0, 0], [0, 0, 60]) })
    expect(before).toEqual(['shank-contact'])
    expect(rules(text)).toEqual([])
    const needed = degrees(Math.atan(18.5 / 4) - Math.acos((2.2 - 0.15) / Math.hypot(4, 18.5)))
    const leans = [...text.matchAll(/^N\d+ .*A(-?[\d.]+)/gm)].map(([, value]) => Math.abs(Number(value)))
    expect(Math.abs(Math.max(...leans) - Math.abs(needed))).toBeLessThan(0.01)
    expect(rules(lessOf(text, 'A', 3, 0.9)).some(rule => rule.startsWith('shank-'))).toBe(true)
  })

  test('of an aim: atan of the tool point beside the point over the height between them', () => {
    const program = `${head('X0. Y10. Z12. A0. C0.')}N80 G1 Y10. Z12. A3.0000 F500.\nN90 Y10.01\nN100 G0 Z90.\nN110 M30\n%\n`
    const { text, before, rules, stays } = mend({
      program, tool: { ...ball, LPR: 90 }, limits: { gouge: 0.01, axisStep: 45 }, passes: [{ axisThrough: { point: [0, 0, 60], within: 0.05 }, from: 'N80', to: 'N90' }], mesh: face,
    })
    expect(before).toEqual(['axis-off-point'])
    expect(rules(text)).toEqual([])
    expect(stays).toEqual([0])
    // The rapid that leads there says the axis too, though it had not moved it: else the cut would begin off the point.
    expect(Math.abs(word(text, 'N70', 'A') - degrees(Math.atan(10 / 48)))).toBeLessThan(1e-3)
    expect(Math.abs(word(text, 'N80', 'A') - degrees(Math.atan(10 / 48)))).toBeLessThan(1e-3)
    expect(rules(lessOf(text, 'A', 3, 0.9))).toContain('axis-off-point')
  })

  test('of an end: where the ball touches the barrier, but for the depth that is allowed', () => {
    const program = `${head('X-20. Y0. Z20. A0. C0.')}N80 G1 Z6. F500.\nN90 X12.0000\nN100 Y5.\nN110 X-20.0000\nN120 G0 Z50.\nN130 M30\n%\n`
    // The path goes a ball's breadth into the barrier, along it and back.
    const { text, before, rules } = mend({ program, tool: ball, limits: { gouge: 0.01 }, mesh: face, barriers: [{ name: 'stop', corners: sheetOfMesh([10, 0, 0], [0, 60, 0], [0, 0, 40]) }] })
    expect(before).toEqual(['barrier-crossed'])
    expect(rules(text)).toEqual([])
    const end = word(text, 'N90', 'X'), touches = 10 - 3 + 0.01
    expect(end).toBeLessThanOrEqual(touches)
    expect(touches - end).toBeLessThan(0.01)
    expect(rules(text.replaceAll(`X${end.toFixed(4)}`, `X${(12 - 0.9 * (12 - end)).toFixed(4)}`))).toEqual(['barrier-crossed'])
  })
})
