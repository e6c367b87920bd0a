import { describe, expect, test } from 'vitest'
import { cutterOutline, endOfStep } from '../../shared/cutter-outline.ts'
import type { Cutter, OutlineStep } from '../../shared/setup.ts'
import { coverByConvex } from '../../server/engine/geometry/convex-cover.ts'
import { PieceDistance } from '../../server/engine/geometry/piece-distance.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { outlineOf, wholeSolid } from '../harness/twin-outline.ts'
import { signedDistance } from '../harness/twin-solid.ts'
import { randomCutter } from './random-tool.ts'

// The union of the pieces is the body: outside it has the body's distance, inside it is nowhere
// outside, and no piece is deeper at a place than the body.

function distanceOf(steps: readonly OutlineStep[]): { at: (r: number, h: number) => number, excess: number, count: number } {
  const cover = coverByConvex(steps), pieces = cover.pieces.map(piece => new PieceDistance(piece))
  return { at: (r, h) => Math.min(...pieces.map(piece => piece.at(r, h))), excess: cover.excess, count: pieces.length }
}

describe.each(['lollipop', 'apt', 'profile'] as const)('%s', shape => {
  test.each([301, 302, 303, 304])('200 random outlines, 200 places each, seed %i', seed => {
    const random = new SeededRandom(seed)
    let inside = 0, pieces = 0
    for (let i = 0; i < 200; i++) {
      const cutter = randomCutter(random, shape)
      if (cutter.shape !== 'lollipop' && cutter.shape !== 'apt' && cutter.shape !== 'profile') throw new Error(cutter.shape)
      const steps = cutterOutline(cutter), top = endOfStep(steps[steps.length - 1])[1]
      const body = wholeSolid(outlineOf(cutter), 0, top), { at, excess, count } = distanceOf(steps)
      expect(excess).toBe(0)
      pieces += count
      for (let n = 0; n < 200; n++) {
        const r = random.between(0, cutter.DC), h = random.pick([random.between(-3, top + 3), random.between(0, top)])
        const known = signedDistance(body, r, h), found = at(r, h), where = `${JSON.stringify(cutter)} at ${r}, ${h}`
        if (known > 1e-9) expect(Math.abs(found - known), where).toBeLessThan(1e-7)
        else {
          expect(found, where).toBeGreaterThanOrEqual(known - 1e-7)
          if (known < -1e-5) expect(found, where).toBeLessThan(0)
          inside++
        }
      }
    }
    expect(inside).toBeGreaterThan(2000)
    if (shape !== 'apt') expect(pieces).toBeGreaterThan(250)
  })
})

describe('known bodies', () => {
  const depth = (cutter: Cutter, r: number, h: number) => -distanceOf(cutterOutline(cutter)).at(r, h)

  test('in a lollipop the middle of the ball is as deep as its radius, and the plane where the neck begins is no surface', () => {
    const lollipop: Cutter = { shape: 'lollipop', DC: 6, DN: 3, LCF: 12 }
    expect(depth(lollipop, 0, 3)).toBeCloseTo(3, 9)
    const meeting = 3 + Math.sqrt(9 - 2.25)
    for (const r of [0, 0.5, 1, 1.4]) expect(depth(lollipop, r, meeting)).toBeCloseTo(1.5 - r, 9)
    // Beside the neck, the ball is 3 − distance from its centre away.
    expect(depth(lollipop, 2, 6)).toBeCloseTo(-Math.min(0.5, Math.hypot(2, 3) - 3), 9)
  })

  test('a disc under a neck is cut into the two', () => {
    const steps: OutlineStep[] = [{ kind: 'line', from: [10, 0], to: [10, 4] }, { kind: 'line', from: [10, 4], to: [5, 4] }, { kind: 'line', from: [5, 4], to: [5, 30] }]
    const { at, count } = distanceOf(steps)
    expect(count).toBe(2)
    expect(at(4, 4)).toBeCloseTo(-1, 12)
    expect(at(7, 6)).toBeCloseTo(2, 12)
    expect(at(9, 2)).toBeCloseTo(-1, 12)
  })

  test('a barrel, whose arc is centred beyond the axis, is one piece', () => {
    // Radius 50 about [-45, 20]: 5 wide at height 20, elementary geometry below and above.
    const low = Math.asin(-15 / 50), steps: OutlineStep[] = [{ kind: 'arc', centre: [-45, 20], radius: 50, fromAngle: low, toAngle: -low }]
    const { at, count } = distanceOf(steps)
    expect(count).toBe(1)
    expect(at(0, 20)).toBeCloseTo(-5, 12)
    expect(at(6, 26)).toBeCloseTo(Math.hypot(51, 6) - 50, 12)
  })
})

describe('a hollow arc', () => {
  // A shoulder 6 wide, a fillet of radius 2 about [5, 6], a neck of radius 3.
  const fillet: OutlineStep[] = [
    { kind: 'line', from: [6, 0], to: [6, 4] }, { kind: 'line', from: [6, 4], to: [5, 4] },
    { kind: 'arc', centre: [5, 6], radius: 2, fromAngle: 1.5 * Math.PI, toAngle: Math.PI }, { kind: 'line', from: [3, 6], to: [3, 20] },
  ]

  test('is held by its chords, which stand off it by no more than is said', () => {
    const { at, excess } = distanceOf(fillet), random = new SeededRandom(310)
    expect(excess).toBeGreaterThan(0)
    expect(excess).toBeLessThanOrEqual(2e-4)
    let least = Infinity
    for (let i = 0; i < 5000; i++) {
      // On the way from the arc's middle through it: outside the body by 2 − ρ, elementary geometry.
      const angle = random.between(1.02, 1.48) * Math.PI, rho = random.between(1.5, 2)
      const found = at(5 + rho * Math.cos(angle), 6 + rho * Math.sin(angle)), known = 2 - rho
      expect(found).toBeLessThanOrEqual(known + 1e-9)
      least = Math.min(least, found - known)
      // Inside, beyond the arc.
      const deep = at(5 + (rho + 0.5) * Math.cos(angle), 6 + (rho + 0.5) * Math.sin(angle))
      expect(deep).toBeLessThan(Math.min(0, 2 - (rho + 0.5)) * 0.2 + 1e-9)
    }
    expect(least).toBeGreaterThanOrEqual(-excess - 1e-9)
  })

  test.each([311, 312, 313])('of any radius and sweep, seed %i', seed => {
    const random = new SeededRandom(seed)
    for (let i = 0; i < 60; i++) {
      // A wall up to the arc and a wall on from it: neither enters the arc's circle, so within its sector the arc is nearest.
      const radius = 10 ** random.between(-1, 1.2), from = random.between(1.02, 1.5) * Math.PI, to = random.between(0.5, 0.98) * Math.PI
      const centre = [radius * random.between(1.1, 3), radius + 2] as const
      const on = (angle: number) => [centre[0] + radius * Math.cos(angle), centre[1] + radius * Math.sin(angle)] as const
      const { at, excess, count } = distanceOf([
        { kind: 'line', from: [on(from)[0], 0], to: on(from) }, { kind: 'arc', centre, radius, fromAngle: from, toAngle: to },
        { kind: 'line', from: on(to), to: [on(to)[0], on(to)[1] + 5] },
      ])
      expect(count).toBeGreaterThan(2)
      expect(excess).toBeLessThanOrEqual(2e-4)
      for (let n = 0; n < 50; n++) {
        const angle = random.between(to, from), rho = radius * random.between(0.7, 1)
        const off = at(centre[0] + rho * Math.cos(angle), centre[1] + rho * Math.sin(angle)) - (radius - rho)
        expect(off).toBeLessThanOrEqual(1e-9)
        expect(off).toBeGreaterThanOrEqual(-excess - 1e-9)
        // A little beyond the arc is within the body, whichever chord is there.
        const deep = radius + random.between(0.01, 0.05) * radius
        expect(at(Math.max(0, centre[0] + deep * Math.cos(angle)), centre[1] + deep * Math.sin(angle))).toBeLessThan(0)
      }
    }
  })
})
