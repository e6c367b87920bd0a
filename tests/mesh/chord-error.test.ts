import { describe, expect, it } from 'vitest'
import { coarseMesh } from '../../server/engine/mesh/coarse-mesh.ts'
import { inspectMesh } from '../../server/engine/mesh/mesh-quality.ts'
import { placeMesh } from '../../server/engine/mesh/place-mesh.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { box, cylinderWall, sphere } from './bodies.ts'

const errorsOf = (corners: Float64Array) => inspectMesh(corners, { name: 'part.stl' }).chordErrors
const greatest = (values: Float32Array) => values.reduce((a, b) => Math.max(a, b), 0)

/** Distance of each facet's middle from the sphere it stands for: exact. */
function sphereErrors(corners: Float64Array, radius: number): number[] {
  return Array.from({ length: corners.length / 9 }, (_, t) => {
    const c = corners.subarray(9 * t, 9 * t + 9)
    return radius - Math.hypot((c[0] + c[3] + c[6]) / 3, (c[1] + c[4] + c[7]) / 3, (c[2] + c[5] + c[8]) / 3)
  })
}

describe('the estimate against the surface the facets were made from', () => {
  it.each([2, 3, 4, 5])('a sphere cut %i times: every facet within a twelfth of its own error', times => {
    const corners = sphere(25, times), exact = sphereErrors(corners, 25), estimates = errorsOf(corners)
    for (const [t, wanted] of exact.entries()) expect(Math.abs(estimates[t] / wanted - 1)).toBeLessThan(1 / 12)
  })

  it.each([[24, 1], [24, 6], [90, 1], [90, 30], [360, 4]])('a cylinder of %i strips in %i rows: the sagitta of the strip', (around, rows) => {
    const estimates = errorsOf(cylinderWall(25, 40, around, rows))
    const sagitta = 25 * (1 - Math.cos(Math.PI / around))
    // Facets cut askew by the diagonal share the strip's width, so all have its error.
    for (const estimate of estimates) expect(Math.abs(estimate / sagitta - 1)).toBeLessThan(0.02)
  })

  it('is the same wherever the body lies (seed 12)', () => {
    const random = new SeededRandom(12)
    const corners = sphere(25, 3), plain = greatest(errorsOf(corners))
    for (let run = 0; run < 20; run++) {
      const placed = placeMesh(corners, { scale: 1, rotate: [random.between(-4, 4), random.between(-4, 4), random.between(-4, 4)], translate: [random.between(-1e3, 1e3), random.between(-1e3, 1e3), 5] })
      expect(greatest(errorsOf(placed)) / plain).toBeCloseTo(1, 3)
    }
    const inch = placeMesh(corners, { scale: 25.4, rotate: [0, 0, 0], translate: [0, 0, 0] })
    expect(greatest(errorsOf(inch)) / plain).toBeCloseTo(25.4, 3)
  })

  it('a box stands for itself', () => {
    expect(greatest(errorsOf(box([10, 20, 30])))).toBe(0)
  })
})

describe('said against a third of the gouge limit (common practice)', () => {
  // Equilateral facets of about 4 mm on a radius of 25: a² / 6R is about 0.11 mm.
  const ball = sphere(25, 3)

  it('a coarse ball is said, with figures', () => {
    const { problems } = inspectMesh(ball, { name: 'part.stl', gouge: 0.01 })
    expect(problems.map(problem => problem.rule)).toEqual(['mesh-too-coarse'])
    expect(problems[0].message).toMatch(/part\.stl is coarse for a gouge limit of 0\.01 mm: on 100 % of its surface .* more than a third of that \(0\.00333 mm\) .* at worst 0\.1\d+ mm near X/)
  })

  it('the same ball under a wider limit is not', () => {
    expect(inspectMesh(ball, { name: 'part.stl', gouge: 1 }).problems).toEqual([])
  })

  it('only the surface that is cut counts, where the program is known', () => {
    const fine = placeMesh(sphere(25, 6), { scale: 1, rotate: [0, 0, 0], translate: [100, 0, 0] })
    const both = new Float64Array(ball.length + fine.length)
    both.set(ball)
    both.set(fine, ball.length)
    const { corners, chordErrors } = inspectMesh(both, { name: 'part.stl' })
    const cutAt = (x: number) => coarseMesh(corners, chordErrors, { name: 'part.stl', gouge: 0.01, cut: { points: Float64Array.of(x, 0, 26, x + 1, 0, 26), reach: 2 } })
    expect(cutAt(100)).toBeUndefined()
    expect(cutAt(0)?.message).toContain('of the surface that the program cuts')
    // Far from everything there is nothing to say.
    expect(cutAt(500)).toBeUndefined()
  })
})
