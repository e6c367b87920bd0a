import { BufferAttribute, BufferGeometry, Vector3 } from 'three'
import { MeshBVH } from 'three-mesh-bvh'
import { describe, expect, test } from 'vitest'
import { buildMeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { squareTo } from './machines.ts'
import { epsilon } from './random-case.ts'
import { bunnyMesh, nearSurface } from './scanned.ts'
import { intervalOf, searchPoses, toolOf, type Pose } from './scene.ts'

// The depth of a ball is its radius less the distance from its centre to the mesh: the engine's
// figure against the closest point of three-mesh-bvh, on a real scanned mesh. Both read the same
// float32 positions.

const corners = bunnyMesh()
const tree = buildMeshTree(corners, false).tree
const reference = new MeshBVH(new BufferGeometry().setAttribute('position', new BufferAttribute(Float32Array.from(corners), 3)))
const radius = 2
const rounding = 1e-8
const half = toolOf({ shape: 'ball', DC: 2 * radius, LCF: radius }, { point: 'centre' })

/** Distance of the whole ball; `isLower`: the place nearest to it lies so low that the half ball has the same distance, else it has more. */
function ballAt({ point, axis }: Pose): { distance: number, isLower: boolean } {
  const hit = reference.closestPointToPoint(new Vector3(...point))
  if (hit === null) throw new Error('no closest point on a mesh')
  const distance = hit.distance - radius
  const below = axis[0] * (point[0] - hit.point.x) + axis[1] * (point[1] - hit.point.y) + axis[2] * (point[2] - hit.point.z)
  return { distance, isLower: below > Math.max(0, -distance) }
}

describe('a ball on the bunny', () => {
  test('the scan is what it is said to be', () => {
    expect(corners.length / 9).toBe(3674)
  })

  test('seed 31: standing still at 300 places', () => {
    const random = new SeededRandom(31)
    let compared = 0
    for (let i = 0; i < 300; i++) {
      const pose = nearSurface(corners, random, radius, random.between(-0.4, 0.3))
      const { certified, value } = intervalOf(searchPoses(half, tree, [pose, { ...pose, point: [pose.point[0], pose.point[1], pose.point[2] + 1e-9] }]), 'cutter')
      const { distance, isLower } = ballAt(pose)
      expect(value).toBeGreaterThanOrEqual(distance - rounding)
      if (!isLower) continue
      compared++
      expect(certified).toBeLessThanOrEqual(distance + rounding)
      expect(value).toBeLessThanOrEqual(distance + epsilon + rounding)
    }
    expect(compared).toBeGreaterThan(200)
  })

  test('seed 32: on 100 straight ways, against the closest point at 400 moments', () => {
    const random = new SeededRandom(32)
    for (let i = 0; i < 100; i++) {
      const from = nearSurface(corners, random, radius, random.between(-0.2, 0.2)), along = squareTo(from.axis, random.direction()), way = random.between(0.1, 4)
      const at = (t: number): Pose => ({ ...from, point: [from.point[0] + t * way * along[0], from.point[1] + t * way * along[1], from.point[2] + t * way * along[2]] })
      const { certified, value } = intervalOf(searchPoses(half, tree, [from, at(1)]), 'cutter')
      let nearest = Infinity, nearestLower = Infinity
      for (let n = 0; n <= 400; n++) {
        const { distance, isLower } = ballAt(at(n / 400))
        nearest = Math.min(nearest, distance)
        if (isLower) nearestLower = Math.min(nearestLower, distance)
      }
      // Between two moments the ball comes nearer by half their distance at most.
      expect(value).toBeGreaterThanOrEqual(nearest - way / 800 - rounding)
      expect(certified).toBeLessThanOrEqual(nearestLower + rounding)
    }
  })
})
