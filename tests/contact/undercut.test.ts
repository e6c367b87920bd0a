import { describe, expect, test } from 'vitest'
import type { Cutter, OutlineStep, Tool, Triple } from '../../shared/setup.ts'
import { buildAssembly } from '../../server/engine/contact/assembly.ts'
import { sphere } from '../mesh/bodies.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { sphereMesh } from './closed-form-bodies.ts'
import { epsilon } from './random-case.ts'
import { intervalOf, searchPoses, toolOf, type Pose } from './scene.ts'

// Cutters that reach behind an edge, against bodies at a known distance (elementary geometry).

const rounding = 1e-8
const gaps = [0.4, 0.05, 0, -0.01, -0.3]
const up: Triple = [0, 0, 1]

/** The face z = 0 of an overhang, from x = `edge` on. */
function ledge(edge: number): Float64Array {
  return Float64Array.of(edge, -50, 0, edge, 50, 0, 60, 50, 0, edge, -50, 0, 60, 50, 0, 60, -50, 0)
}

/** Along the edge, 2 mm. */
function alongEdge(x: number, z: number): Pose[] {
  return [-1, 1].map(y => ({ point: [x, y, z], axis: up }))
}

function expectInterval(tool: Tool, mesh: Float64Array, poses: readonly Pose[], known: number, high: number, where: string, excess = 0): void {
  const { certified, value } = intervalOf(searchPoses(tool, mesh, poses), 'cutter')
  expect(value, where).toBeGreaterThanOrEqual(known - rounding)
  expect(value, where).toBeLessThanOrEqual(known + high + epsilon + excess + rounding)
  expect(certified, where).toBeLessThanOrEqual(known + high + rounding)
  expect(value - certified, where).toBeLessThanOrEqual(epsilon + excess + rounding)
}

describe('a lollipop under an overhang', () => {
  const tool = toolOf({ shape: 'lollipop', DC: 6, DN: 3, LCF: 20 })

  test.each(gaps)('its upper half %f mm off the edge', gap => {
    // The edge is 2.2 from the axis, so hypot(2.2, depth of the ball's centre) from the centre; the neck is 0.7 away.
    const below = Math.sqrt((3 + gap) ** 2 - 2.2 ** 2)
    expectInterval(tool, ledge(2.2), alongEdge(0, -below - 3), gap, 0, `gap ${gap}`)
  })

  test.each(gaps)('its neck %f mm off the edge', gap => {
    expectInterval(tool, ledge(1.5 + gap), alongEdge(0, -12), gap, 0, `gap ${gap}`)
  })

  test('inside a hollow ball, touching anywhere it can, seed 321', () => {
    const random = new SeededRandom(321), wall = sphere(16, 5)
    // Facets between corners on the sphere dip inward by at most this.
    const chord = sphereMesh(16, 5).chord
    for (let i = 0; i < 30; i++) {
      // The middle of the cutter's ball toward a wall that its upper or lower half meets; the neck, some 17 mm long, keeps clear.
      const angle = random.between(-90, 40) * Math.PI / 180, gap = random.between(-0.3, 0.4), turn = random.between(0, 6)
      const reach = 13 - gap
      const centre: Triple = [reach * Math.cos(angle) * Math.cos(turn), reach * Math.cos(angle) * Math.sin(turn), reach * Math.sin(angle)]
      const short = toolOf({ shape: 'lollipop', DC: 6, DN: 2, LCF: 6 })
      const poses = [0, 1e-7].map((off): Pose => ({ point: [centre[0], centre[1], centre[2] - 3 + off], axis: up }))
      const { certified, value } = intervalOf(searchPoses(short, wall, poses), 'cutter')
      expect(value, `case ${i}`).toBeGreaterThanOrEqual(gap - chord - 1e-6)
      expect(value, `case ${i}`).toBeLessThanOrEqual(gap + epsilon + 1e-6)
      expect(certified, `case ${i}`).toBeLessThanOrEqual(gap + 1e-6)
    }
  })
})

describe('a disc on a neck', () => {
  const outline: OutlineStep[] = [
    { kind: 'line', from: [0, 0], to: [10, 0] }, { kind: 'line', from: [10, 0], to: [10, 4] }, { kind: 'line', from: [10, 4], to: [5, 4] },
    { kind: 'line', from: [5, 4], to: [5, 30] },
  ]
  const tool = toolOf({ shape: 'profile', DC: 20, LCF: 30, outline })

  test.each(gaps)('its upper face %f mm under the overhang', gap => {
    // In it, the face lies below the overhang by less than the disc is thick.
    expectInterval(tool, ledge(6), alongEdge(0, -4 - gap), gap, 0, `gap ${gap}`)
  })

  test('a surface in the plane between disc and neck is inside the cutter, not on its surface', () => {
    const plate = Float64Array.of(-2, -2, 0, 2, -2, 0, 0, 2, 0)
    // On the axis, 4 above the tip: 5 from the neck's wall, 4 from the face it stands on.
    const { value } = intervalOf(searchPoses(tool, plate, alongEdge(0, -4)), 'cutter')
    expect(value).toBeCloseTo(-4, 2)
  })

  test('its neck counts as neck above the flutes', () => {
    const parted = toolOf({ shape: 'profile', DC: 20, LCF: 4, outline }, { LPR: 30 })
    const figures = searchPoses(parted, ledge(5.1), alongEdge(0, -12))
    expect(intervalOf(figures, 'neck').value).toBeCloseTo(0.1, 2)
    expect(intervalOf(figures, 'cutter').value).toBe(Infinity)
    expect(intervalOf(figures, 'cutter').certified).toBeGreaterThan(0.4)
  })
})

describe('a hollow fillet', () => {
  // A shoulder of 6, a fillet of 2 about [5, 6], a neck of 3; a ball of 1 in the fillet.
  const outline: OutlineStep[] = [
    { kind: 'line', from: [6, 0], to: [6, 4] }, { kind: 'line', from: [6, 4], to: [5, 4] },
    { kind: 'arc', centre: [5, 6], radius: 2, fromAngle: 1.5 * Math.PI, toAngle: Math.PI }, { kind: 'line', from: [3, 6], to: [3, 20] },
  ]
  const cutter: Cutter = { shape: 'profile', DC: 12, LCF: 20, outline }, tool = toolOf(cutter)
  const ball = sphereMesh(1, 4), { excess } = buildAssembly(tool).shapes[0]

  test('what its chords stand off is said, and added to the figure', () => {
    expect(excess).toBeGreaterThan(0)
    expect(excess).toBeLessThanOrEqual(epsilon / 10)
  })

  test.each([0.4, 0.1, 0])('%f mm off the ball, seed 322', gap => {
    const random = new SeededRandom(322)
    for (let i = 0; i < 8; i++) {
      // From the fillet's middle into it at this angle: the ball's middle then lies 1 + gap before the surface.
      const angle = random.between(1.1, 1.4) * Math.PI, turn = random.between(0, 6), way = 2 - 1 - gap
      const radius = 5 + way * Math.cos(angle), height = 6 + way * Math.sin(angle)
      const poses = [0, 1e-9].map((off): Pose => ({ point: [-radius * Math.cos(turn) + off, -radius * Math.sin(turn), -height], axis: up }))
      expectInterval(tool, ball.corners, poses, gap, ball.chord, `angle ${angle}`, excess)
    }
  })
})
