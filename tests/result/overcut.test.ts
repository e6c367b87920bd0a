import { describe, expect, test } from 'vitest'
import type { Cutter, Triple } from '../../shared/setup.ts'
import { heightEpsilon } from '../../server/engine/geometry/tolerance.ts'
import { inputOfPoses, intervalOf, searchPoses, toolOf, type Pose } from '../contact/scene.ts'
import { measure, quads } from './heights.ts'

// Where a cutter touches a plane with a round part of its outline, the deepest cut along the normal is the
// penetration that the contact engine proves, which shares no search with the heights; on a plane both follow
// by hand too. A sample may lie up to the spacing beside the deepest point, where a radius R cuts d²/2R less.

const depth = 0.05, spacing = 0.1
const plane = quads([[-6, -4, 0], [6, -4, 0], [6, 4, 0], [-6, 4, 0]])

const lean = (degrees: number): Triple => [Math.sin(degrees * Math.PI / 180), 0, Math.cos(degrees * Math.PI / 180)]

/** Tip of a cutter whose lowest point stands at `depth` below the plane: a circle of radius `rim` with a tube of radius `corner` about it. */
function tipFor(axis: Triple, rim: number, corner: number): (x: number, y: number) => Triple {
  const up = axis[2], side = Math.sqrt(1 - up * up)
  const height = corner - depth + rim * side - corner * up
  return (x, y) => [x, y, height]
}

const cases: readonly { readonly name: string, readonly cutter: Cutter, readonly lean: number, readonly rim: number, readonly corner: number }[] = [
  { name: 'ball upright', cutter: { shape: 'ball', DC: 8, LCF: 10 }, lean: 0, rim: 0, corner: 4 },
  { name: 'ball leant by 30°', cutter: { shape: 'ball', DC: 8, LCF: 10 }, lean: 30, rim: 0, corner: 4 },
  { name: 'bull nose leant by 15°', cutter: { shape: 'bull', DC: 10, RE: 2, LCF: 10 }, lean: 15, rim: 3, corner: 2 },
  { name: 'bull nose upright', cutter: { shape: 'bull', DC: 10, RE: 2, LCF: 10 }, lean: 0, rim: 3, corner: 2 },
  { name: 'flat upright', cutter: { shape: 'flat', DC: 6, LCF: 10 }, lean: 0, rim: 3, corner: 0 },
]

describe('the deepest cut below a plane', () => {
  test.each(cases)('by a $name', ({ cutter, lean: degrees, rim, corner }) => {
    const tool = toolOf(cutter), axis = lean(degrees), at = tipFor(axis, rim, corner)
    const poses: Pose[] = [{ point: at(-1, -1), axis }, { point: at(1, 0.5), axis }]
    const { figures } = measure(inputOfPoses(tool, poses), plane, spacing)
    const deepest = -Math.min(...figures.value)
    expect(deepest).toBeLessThanOrEqual(depth + heightEpsilon)
    expect(deepest).toBeGreaterThan(depth - spacing * spacing / 2 / Math.max(corner, 1) - heightEpsilon)
    // The contact engine, of the same motion.
    const { certified, value } = intervalOf(searchPoses(tool, plane, poses), 'cutter')
    expect(deepest).toBeLessThanOrEqual(-certified + heightEpsilon)
    expect(deepest).toBeGreaterThan(-value - spacing * spacing / 2 / Math.max(corner, 1) - heightEpsilon)
  })

  test('what passes wholly below the surface is the other side of a wall, and no cut into this one', () => {
    const poses: Pose[] = [{ point: [0, -5, -20], axis: [0, 0, 1] }, { point: [0, 5, -20], axis: [0, 0, 1] }]
    const { figures } = measure(inputOfPoses(toolOf({ shape: 'ball', DC: 8, LCF: 17 }), poses), plane, 0.5)
    expect(new Set(figures.value)).toEqual(new Set([3]))
  })
})
