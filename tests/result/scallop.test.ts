import { describe, expect, test } from 'vitest'
import type { Cutter, Triple } from '../../shared/setup.ts'
import { heightEpsilon } from '../../server/engine/geometry/tolerance.ts'
import { certifiedHeight } from '../../server/engine/result/height-figures.ts'
import { inputOfPoses, toolOf, type Pose } from '../contact/scene.ts'
import { measure, quads, samplesWhere } from './heights.ts'

// The height of the ridge that two neighbouring passes of a ball leave, step s along the surface:
//   plane            h = R − √(R² − s²/4)
//   convex radius ρ  h = (ρ + R) cos(s/2ρ) − √(R² − ((ρ + R) sin(s/2ρ))²) − ρ
//   concave ρ > R    h = ρ − (ρ − R) cos(s/2ρ) − √(R² − ((ρ − R) sin(s/2ρ))²)
// the first as printed in machining handbooks, the others from the geometry of two circles; R 5, ρ 50
// and the values below are worked out from them to six decimals.

const R = 5, rho = 50
const ball = toolOf({ shape: 'ball', DC: 2 * R, LCF: 12 })

/** Passes along y at x = i × step, joined by lifts that cut nothing. */
function passes(count: number, place: (i: number) => { point: Triple, axis: Triple }): Pose[] {
  return Array.from({ length: count }, (_, i) => place(i - (count - 1) / 2)).flatMap(({ point: [x, , z], axis }): Pose[] => [
    { point: [x, -40, z + 30], axis }, { point: [x, -40, z], axis }, { point: [x, 40, z], axis }, { point: [x, 40, z + 30], axis },
  ])
}

describe('the ridge between two passes of a ball', () => {
  test.each([[0.2, 0.0010001], [0.5, 0.006254], [1, 0.025063]])('on a plane, step %f', (step, ridge) => {
    const input = inputOfPoses(ball, passes(4, i => ({ point: [i * step, 0, 0], axis: [0, 0, 1] })))
    // Vertices on the line in the middle between two passes, and right under one.
    const strip = (x: number) => [[x - 0.01, -5, 0], [x, -5, 0], [x, 5, 0], [x - 0.01, 5, 0]] as const
    const { samples, figures } = measure(input, quads(strip(0), strip(step / 2)), 100)
    expectHeight(samplesWhere(samples, x => Math.abs(x) < 1e-9).map(i => figures.value[i]), ridge)
    expectHeight(samplesWhere(samples, x => Math.abs(x - step / 2) < 1e-9).map(i => figures.value[i]), 0)
  })

  // side 1: the crest of a shaft, milled from above; -1: the bottom of a bore.
  test.each([['the outside', 1, 0.027591], ['the inside', -1, 0.02254]] as const)('on %s of a cylinder of radius 50, step 1', (_, side, ridge) => {
    const centres = rho + side * R
    const strip = (angle: number) => [[-1e-6, -5], [1e-6, -5], [1e-6, 5], [-1e-6, 5]].map(([a, y]) =>
      [rho * Math.sin(angle + a), y, side * rho * Math.cos(angle + a)] as const)
    // The tip stands R below the ball's centre.
    const input = inputOfPoses(ball, passes(4, i => ({ point: [centres * Math.sin(i / rho), 0, side * centres * Math.cos(i / rho) - R], axis: [0, 0, 1] })))
    const { samples, figures } = measure(input, quads(strip(0), strip(0.5 / rho)), 100)
    expectHeight(samplesWhere(samples, x => Math.abs(x) < 0.1).map(i => figures.value[i]), ridge)
    expectHeight(samplesWhere(samples, x => Math.abs(x) > 0.4).map(i => figures.value[i]), 0)
  })
})

// A tilted cutter seen along its way: the circle in which its rim or corner ends shows as an ellipse with the radii r and
// r sin λ, and a corner of radius c as what lies c about it. At its lowest point that has the radius r / sin λ + c, which
// shops reckon with (common practice); here the outline itself is taken, since the step is not small beside the cutter.
describe('the ridge between two passes on a plane, step 3, tilted by λ toward the way', () => {
  const degrees = Math.PI / 180, s = 3
  // At a sharp edge the search may give up with a wider interval, which it states.
  const mostWidth = 3 * heightEpsilon
  const cases: readonly { name: string, cutter: Cutter, lambda: number, rim: number, corner: number }[] = [
    { name: 'flat, 15°', cutter: { shape: 'flat', DC: 10, LCF: 12 }, lambda: 15, rim: 5, corner: 0 },
    { name: 'flat, 5°', cutter: { shape: 'flat', DC: 10, LCF: 12 }, lambda: 5, rim: 5, corner: 0 },
    { name: 'bull nose, 15°', cutter: { shape: 'bull', DC: 12, RE: 1, LCF: 12 }, lambda: 15, rim: 5, corner: 1 },
    { name: 'ball, 25°', cutter: { shape: 'ball', DC: 10, LCF: 12 }, lambda: 25, rim: 0, corner: 5 },
  ]
  test.each(cases)('$name', ({ cutter, lambda, rim, corner }) => {
    const sin = Math.sin(lambda * degrees), cos = Math.cos(lambda * degrees), axis: Triple = [0, sin, cos]
    const input = inputOfPoses(toolOf(cutter), passes(4, i => ({ point: [i * s, 0, rim * sin + corner * (1 - cos)], axis })))
    const strip = (x: number) => [[x - 0.01, -5, 0], [x, -5, 0], [x, 5, 0], [x - 0.01, 5, 0]] as const
    const { samples, figures } = measure(input, quads(strip(0), strip(s / 2)), 100)
    const ridge = outlineHeight(rim, rim * sin, corner, s / 2)
    for (const [x, wanted] of [[0, ridge], [s / 2, 0]] as const) {
      for (const i of samplesWhere(samples, at => Math.abs(at - x) < 1e-9)) {
        const low = certifiedHeight(figures, i, heightEpsilon), high = figures.value[i]
        expect(low).toBeLessThan(wanted + 1e-9)
        expect(high).toBeGreaterThan(wanted - 1e-9)
        expect(high - low).toBeLessThan(mostWidth)
      }
    }
    // The interval is far narrower than the ridge: a wrong outline would show.
    expect(mostWidth).toBeLessThan(0.1 * ridge)
  })
})

/** How high the outline at `c` about an ellipse with the radii a (level) and b (upright) stands, at x beside its lowest point, over that point. */
function outlineHeight(a: number, b: number, c: number, x: number): number {
  if (a === 0) return c - Math.sqrt(c * c - x * x)
  const at = (t: number) => {
    const length = Math.hypot(b * Math.sin(t), a * Math.cos(t))
    return { x: a * Math.sin(t) + c * b * Math.sin(t) / length, z: b + c - b * Math.cos(t) - c * a * Math.cos(t) / length }
  }
  let low = 0, high = Math.PI / 2
  while (high - low > 1e-14) {
    const middle = (low + high) / 2
    if (at(middle).x < x) low = middle
    else high = middle
  }
  return at(low).z
}

/** Every height is the one wanted: to 1 % where that is more than the proven interval and what is attained. */
function expectHeight(heights: readonly number[], wanted: number): void {
  expect(heights.length).toBeGreaterThan(1)
  for (const height of heights) expect(Math.abs(height - wanted)).toBeLessThan(Math.max(wanted * 0.01, 1e-5))
}
