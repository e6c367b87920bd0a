import { describe, expect, test } from 'vitest'
import type { Cutter, Tool, Triple } from '../../shared/setup.ts'
import { boxStock } from '../../server/engine/stock/fill-shape.ts'
import { toolOf } from '../contact/scene.ts'
import { cutPath, pathThrough, type CutPose } from './cut-poses.ts'

// Volumes of swept solids against geometry. The rays lie at odd places, so that no wall falls on them by luck. Besides the
// pitch a skin of some 0.001 to 0.004 mm is left on purpose: with a small cutter that shows.

const flat: Cutter = { shape: 'flat', DC: 10, LCF: 20 }, ball: Cutter = { shape: 'ball', DC: 10, LCF: 20 }

function removedBy(cutter: Cutter, poses: readonly CutPose[], pitch: number, min: Triple = [-33.03, -8.07, -12.01], max: Triple = [33.05, 8.02, 0], more: Partial<Tool> = {}): number {
  const grid = boxStock({ min, max }, pitch), before = grid.volume(), tool = toolOf(cutter, more)
  const { volumes } = cutPath(grid, tool, pathThrough(tool, poses))
  const after = grid.volume(), sum = volumes.reduce((total, volume) => total + volume, 0)
  // What the motions say they took is what is gone.
  expect(Math.abs(before - after - sum)).toBeLessThan(1e-6 * before)
  return before - after
}

/** Over several places of the path among the rays: what a wall gains on one it loses on another. */
function meanOf(cutter: Cutter, poses: readonly CutPose[], pitch = 0.1): number {
  const shifts = Array.from({ length: 10 }, (_, i) => i * pitch / 10)
  return shifts.reduce((sum, shift) => sum + removedBy(cutter, poses.map(({ point, ...rest }) => ({ point: [point[0] + 3 * shift, point[1] + shift, point[2]], ...rest })), pitch, [-33.03, -8.07, -12 - 7 * shift]), 0) / shifts.length
}

const along = (depth: number): CutPose[] => [[-25, 5], [-25, -depth], [25, -depth], [25, 5]].map(([x, z]) => ({ point: [x, 0.013, z] }))

describe('solids of known volume', () => {
  test('straight slot of a flat cutter, D10, 50 long, 2 deep: a stadium, 1157.0796 mm³', () => {
    expect(Math.abs(meanOf(flat, along(2)) / 1157.0796 - 1)).toBeLessThan(4e-3)
  })

  test('groove of a ball, D10, 50 long, 2 deep: 613.5733 mm³', () => {
    expect(Math.abs(meanOf(ball, along(2)) / 613.5733 - 1)).toBeLessThan(2e-3)
  })

  test('a drilled hole with its point: π r² h + π r³ / (3 tan(σ/2))', () => {
    const SIG = 118 * Math.PI / 180, tip = 3 / Math.tan(SIG / 2)
    const wanted = Math.PI * 9 * (8 - tip) + Math.PI * 9 * tip / 3
    expect(Math.abs(meanOf({ shape: 'drill', DC: 6, SIG, LCF: 30 }, [{ point: [0.01, 0, 5] }, { point: [0.01, 0, -8] }]) / wanted - 1)).toBeLessThan(2e-3)
  })

  test('a hole drilled aslant through a plate: π r² t / cos β', () => {
    const beta = 0.5, axis: Triple = [Math.sin(beta), 0, Math.cos(beta)]
    const from: Triple = [axis[0] * 10, 0.013, axis[2] * 10], to: Triple = [-axis[0] * 16, 0.013, -axis[2] * 16]
    const removed = removedBy({ shape: 'flat', DC: 6, LCF: 60 }, [{ point: from, axis }, { point: to, axis }], 0.08, [-20.03, -8.07, -6], [20.05, 8.02, 0])
    expect(Math.abs(removed / (Math.PI * 9 * 6 / Math.cos(beta)) - 1)).toBeLessThan(2e-3)
  })

  // Cavalieri: moved square to its axis, a leaning cylinder sweeps its length times its width times the way.
  test('a leaning flat cutter moved sideways cuts a slot of its own width', () => {
    const beta = 0.4, axis: Triple = [0, Math.sin(beta), Math.cos(beta)]
    const removed = removedBy({ shape: 'flat', DC: 6, LCF: 60 }, [{ point: [-40, 6 * Math.tan(beta) * -1, -12], axis }, { point: [40, 6 * Math.tan(beta) * -1, -12], axis }], 0.08, [-10, -14.07, -5], [10, 14.02, 0])
    expect(Math.abs(removed / (6 / Math.cos(beta) * 5 * 20) - 1)).toBeLessThan(2e-3)
  })

  test('a ball cutter that turns about the middle of its ball takes the ball and the sector above it, whole and not by chords', () => {
    // A cylinder of radius r leans from -φ to φ about a point m over the lower face of a plate m + t thick. At the distance y from
    // the plane of the turn its half width is w = √(r² − y²); at the height z over the turning point it reaches z tan φ + w / cos φ
    // to either side, as long as that is above the point's own level.
    const r = 1, phi = Math.PI / 6, below = 3, above = 6, m = -above
    const lean = (angle: number): CutPose => ({ point: [0.01, 0.02, m], axis: [Math.sin(angle), 0, Math.cos(angle)] })
    const removed = removedBy({ shape: 'ball', DC: 2 * r, LCF: 40 }, [lean(-phi), lean(phi)], 0.04, [-8.03, -2.07, m - below], [8.05, 2.02, 0], { point: 'centre' })
    // Above the level at which the leaning cylinder's side leaves the ball (w sin φ) the line holds; below it is the ball.
    let wanted = 0
    const steps = 2000
    for (let i = 0; i < steps; i++) {
      const y = -r + (i + 0.5) * 2 * r / steps, w = Math.sqrt(r * r - y * y)
      const touch = -w * Math.sin(phi)
      // Disc of radius w below the tangent point, trapezoid above it.
      const disc = (Math.PI * w * w) / 2 + touch * Math.sqrt(w * w - touch * touch) + w * w * Math.asin(touch / w)
      const top = above, reach = (z: number) => z * Math.tan(phi) + w / Math.cos(phi)
      wanted += (disc + (reach(touch) + reach(top)) * (top - touch)) * 2 * r / steps
    }
    expect(removed / wanted).toBeLessThan(1.001)
    expect(removed / wanted).toBeGreaterThan(0.992)
  })

  test('halving the pitch halves the error, or better', () => {
    const wanted = 613.5733, places = [0.003, 0.021, 0.037, 0.044, 0.059]
    const errorAt = (pitch: number) => Math.max(...places.map(y => Math.abs(removedBy(ball, [[-25, 5], [-25, -2], [25, -2], [25, 5]].map(([x, z]) => ({ point: [x + 3 * y, y * pitch / 0.1, z] })), pitch) / wanted - 1)))
    const [coarse, middle, fine] = [0.8, 0.4, 0.2].map(errorAt)
    expect(middle).toBeLessThan(coarse / 1.9)
    expect(fine).toBeLessThan(middle / 1.9)
  })
})
