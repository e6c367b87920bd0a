import { describe, expect, test } from 'vitest'
import type { Tool, Triple } from '../../shared/setup.ts'
import { isInside } from '../../server/engine/contact/starts-inside.ts'
import { buildMeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { box, inverted, joined, sphere, without } from '../mesh/bodies.ts'
import { torusMesh } from './closed-form-bodies.ts'
import { intervalOf, searchPoses, toolOf } from './scene.ts'

// A component wholly inside the part touches no facet: where a path starts, it is decided by
// inside or outside, and from then on contact cannot be missed.

const up: Triple = [0, 0, 1]
const small = toolOf({ shape: 'ball', DC: 4, LCF: 6 }, { LPR: 20, shank: { DCONMS: 4 }, holder: [{ diameter: 20, topDiameter: 20, length: 10 }] })

function startsOf(tool: Tool, mesh: Float64Array, ...points: readonly Triple[]): string[] {
  return searchPoses(tool, mesh, points.map(point => ({ point, axis: up }))).inside.map(({ motion, component }) => `${component} in motion ${motion}`)
}

describe('where a path starts', () => {
  const block = box([100, 100, 100])

  test('the cutter deep in a block: said once, though nothing touches', () => {
    expect(startsOf(small, block, [50, 50, 20], [50, 50, 21], [50, 50, 22])).toEqual(['cutter in motion 0'])
    const figures = searchPoses(small, block, [{ point: [50, 50, 20], axis: up }, { point: [50, 50, 21], axis: up }])
    expect(intervalOf(figures, 'cutter').value).toBe(Infinity)
  })

  test('the cutter above the block, the holder within a second one', () => {
    const roof = box([100, 100, 60]).map((value, i) => value + [-50, -50, 118][i % 3])
    expect(startsOf(small, joined(block, roof), [0, 0, 101], [0, 0, 101.5])).toEqual(['holder in motion 0'])
  })

  test('clear of the block, in its hollow, beside it: nothing is said', () => {
    const hollow = inverted(box([60, 60, 60])).map((value, i) => value + [20, 20, 20][i % 3])
    expect(startsOf(small, block, [50, 50, 101], [50, 50, 90])).toEqual([])
    expect(startsOf(small, joined(block, hollow), [50, 50, 30], [50, 50, 31])).toEqual([])
    expect(startsOf(small, block, [-20, 50, 50], [-20, 50, 51])).toEqual([])
  })

  test('a mesh turned inside out is told apart from nothing all the same', () => {
    expect(startsOf(small, inverted(block), [50, 50, 20], [50, 50, 21])).toEqual(['cutter in motion 0'])
  })

  test('a block with a facet missing still has an inside', () => {
    const open = sphere(60, 3)
    expect(startsOf(small, without(open, 0, 7, 100), [0, 0, -30], [0, 0, -29])).toEqual(['cutter in motion 0'])
  })
})

describe('inside or outside, seed 41', () => {
  test.each([
    ['a ball', sphere(20, 4), (x: number, y: number, z: number) => 20 - Math.hypot(x, y, z)],
    ['a ring', torusMesh(15, 5, 120, 60).corners, (x: number, y: number, z: number) => 5 - Math.hypot(Math.hypot(x, y) - 15, z)],
    ['a box', box([20, 12, 8]), (x: number, y: number, z: number) => Math.min(x, 20 - x, y, 12 - y, z, 8 - z)],
  ] as const)('%s, a thousand points', (_name, corners, depth) => {
    const random = new SeededRandom(41), tree = buildMeshTree(corners, false).tree
    let inside = 0
    for (let i = 0; i < 1000; i++) {
      const point: Triple = [random.between(-25, 25), random.between(-25, 25), random.between(-25, 25)]
      // Within the mesh's chord error of the surface either answer is right.
      if (Math.abs(depth(...point)) < 0.1) continue
      expect(isInside(tree, point)).toBe(depth(...point) > 0)
      if (depth(...point) > 0) inside++
    }
    expect(inside).toBeGreaterThan(10)
  })
})
