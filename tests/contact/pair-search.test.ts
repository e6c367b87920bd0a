import { describe, expect, test } from 'vitest'
import { neverCancelled } from '../../shared/cancellation.ts'
import { FrameMotion, frameOfJoint, isSameFrame } from '../../shared/frame-motion.ts'
import { buildKinematics } from '../../shared/kinematics.ts'
import { MotionPose } from '../../shared/motion-pose.ts'
import type { Triple } from '../../shared/setup.ts'
import { FramePoses } from '../../server/engine/contact/frame-poses.ts'
import { PairSearch } from '../../server/engine/contact/pair-search.ts'
import { buildMeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { leastOnTriangle } from '../harness/brute-force.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { inverse, transform, TwinMachine, type Matrix } from '../harness/twin-machine.ts'
import { anyMachine } from './machines.ts'
import { laidAt, randomMesh } from './random-mesh.ts'
import { motionWishes, randomPath } from './random-path.ts'

// Two meshes on two links of a machine against the slow and obvious way: dense moments, every pair of
// triangles, golden sections. What that finds is attained, so it must not lie below `certified`.

const epsilon = 0.02, cap = 3, length = 80
/** mm. Rounding within a few hundred mm, and what a golden section leaves. */
const rounding = 1e-6

const counts = { cases: 0, found: 0, crossing: 0, wide: 0 }

describe('against brute force', () => {
  test.each([501, 502, 503, 504, 505, 506])('seed %d: 25 random machines, motions and pairs of meshes', seed => {
    const faults: string[] = []
    for (let i = 0; i < 25; i++) faults.push(...checkCase(seed * 1000 + i))
    expect(faults).toEqual([])
  })

  test('there was something to find, and nearly all of it as fine as asked for', () => {
    expect(counts.found).toBeGreaterThan(counts.cases / 3)
    expect(counts.crossing).toBeGreaterThan(5)
    expect(counts.wide).toBeLessThan(0.05 * counts.found)
  })
})

function checkCase(seed: number): string[] {
  const random = new SeededRandom(seed)
  const machine = anyMachine(random)
  const base = machine.axes.map(axis => axis.kind === 'linear' ? random.between(-100, 100) : random.between(-1, 1))
  const kinematics = buildKinematics(machine, base)
  const wish = random.pick(motionWishes)
  const path = randomPath(random, machine, kinematics, base, length, wish, 1)
  const joint = random.whole(0, machine.axes.length - 1), other = random.pick(['part', random.whole(0, machine.axes.length - 1)] as const)
  const from = frameOfJoint(kinematics, joint), to = other === 'part' ? other : frameOfJoint(kinematics, other)
  if (from === undefined || to === undefined || isSameFrame(kinematics, from, to)) return []
  const pose = new MotionPose(kinematics, path, [length]), twin = new TwinMachine(machine, base)
  pose.begin(0)
  const poseAt = (t: number): Matrix => {
    const joints = new Float64Array(machine.axes.length)
    pose.jointsAt(t, joints)
    return twin.between(joint, other, joints)
  }
  // The other mesh about its own origin; the moving one near it at some moment.
  const corners = randomMesh(random, random.pick(['patch', 'soup', 'ball', 'slivers', 'facet'] as const))
  const shape = randomMesh(random, random.pick(['patch', 'soup', 'ball', 'slivers'] as const))
  const at: Triple = [corners[0] + random.between(-1, 1), corners[1] + random.between(-1, 1), corners[2] + random.pick([-0.3, 0.02, 0.5, 2])]
  const near = laidAt(shape, shape, at, random.direction(), random.direction())
  const back = inverse(poseAt(random.pick([0, 0.5, 1, random.next()])))
  const moving = Float64Array.from(near)
  for (let k = 0; k < moving.length; k += 3) moving.set(transform(back, moving.subarray(k, k + 3), 1), k)
  const tree = buildMeshTree(moving, false).tree, otherTree = buildMeshTree(corners, false).tree
  const centre: Triple = [0, 1, 2].map(k => (tree.min[k] + tree.max[k]) / 2) as unknown as Triple
  const poses = new FramePoses(new FrameMotion(kinematics, path, [length], pose, from, to, centre))
  poses.begin(0)
  const search = new PairSearch(tree, otherTree, poses, neverCancelled)
  const faults: string[] = []
  const say = (what: string) => faults.push(`case ${seed}: ${what} [${machine.name}; ${wish}; ${machine.axes[joint].letter} to ${other === 'part' ? other : machine.axes[other].letter}]`)
  for (const t of [0, 0.31, 1]) {
    const numbers = new Float64Array(12), expected = poseAt(t)
    poses.motion.poseAt(t, numbers, 0)
    const off = Math.max(...[0, 1, 2].flatMap(row => [...[0, 1, 2].map(k => Math.abs(numbers[row * 3 + k] - expected[row * 4 + k])), Math.abs(numbers[9 + row] - expected[row * 4 + 3]) / 1000]))
    if (!(off < 1e-9)) say(`the pose at ${t} is off by ${off}`)
  }
  if (poses.motion.bend === Infinity) return faults
  search.run(cap, epsilon)
  const found = search.value < Infinity
  counts.cases++
  if (found) counts.found++
  if (search.value === 0) counts.crossing++
  if (found && search.value - search.certified > epsilon + 1e-6) counts.wide++
  if (search.certified > search.value) say(`certified ${search.certified} above the value ${search.value}`)
  if (found) {
    const again = leastAt(laid(moving, poseAt(search.time)), corners, search.value + 0.01)
    if (again > search.value + 1e-3) say(`the value ${search.value} at ${search.time} is ${again}`)
  }
  const bar = found ? search.certified : cap - epsilon
  for (let n = 0; n <= 48; n++) {
    const t = n < 33 ? n / 32 : Math.min(1, Math.max(0, (found ? search.time : 0.5) + (n - 40) * 0.004))
    const least = leastAt(laid(moving, poseAt(t)), corners, bar)
    if (least < bar - rounding) {
      say(`brute force finds ${least} at ${t}; certified ${search.certified}, value ${search.value}`)
      break
    }
  }
  return faults
}

function laid(corners: Float64Array, matrix: Matrix): Float64Array {
  const out = new Float64Array(corners.length)
  for (let k = 0; k < corners.length; k += 3) out.set(transform(matrix, corners.subarray(k, k + 3), 1), k)
  return out
}

/** Smallest distance of two meshes that stand still, as far as it is below `cap`. */
function leastAt(one: Float64Array, other: Float64Array, cap: number): number {
  let least = cap
  for (let i = 0; i < one.length; i += 9) {
    for (let j = 0; j < other.length; j += 9) {
      if (boxGap(one, i, other, j) >= least) continue
      least = Math.min(least, leastOnTriangle((x, y, z) => toTriangle(x, y, z, other, j), one, i))
    }
  }
  return least
}

function boxGap(a: Float64Array, i: number, b: Float64Array, j: number): number {
  let square = 0
  for (let k = 0; k < 3; k++) {
    const [a0, a1] = [Math.min(a[i + k], a[i + 3 + k], a[i + 6 + k]), Math.max(a[i + k], a[i + 3 + k], a[i + 6 + k])]
    const [b0, b1] = [Math.min(b[j + k], b[j + 3 + k], b[j + 6 + k]), Math.max(b[j + k], b[j + 3 + k], b[j + 6 + k])]
    square += Math.max(0, a0 - b1, b0 - a1) ** 2
  }
  return Math.sqrt(square)
}

/** Distance of a point to a triangle: to its plane where the foot lies inside, else to its nearest edge. */
function toTriangle(x: number, y: number, z: number, c: Float64Array, i: number): number {
  const corner = (k: number) => [c[i + 3 * k], c[i + 3 * k + 1], c[i + 3 * k + 2]] as const
  const cross = (u: readonly number[], v: readonly number[]) => [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]]
  const less = (u: readonly number[], v: readonly number[]) => [u[0] - v[0], u[1] - v[1], u[2] - v[2]]
  const dot = (u: readonly number[], v: readonly number[]) => u[0] * v[0] + u[1] * v[1] + u[2] * v[2]
  const p = [x, y, z], corners = [corner(0), corner(1), corner(2)]
  const normal = cross(less(corners[1], corners[0]), less(corners[2], corners[0])), area = Math.hypot(...normal)
  const edges = [0, 1, 2].map(k => {
    const a = corners[k], along = less(corners[(k + 1) % 3], a), square = dot(along, along)
    const t = square > 0 ? Math.min(1, Math.max(0, dot(less(p, a), along) / square)) : 0
    return Math.hypot(...less(p, [0, 1, 2].map(n => a[n] + t * along[n])))
  })
  const inside = area > 1e-9 && [0, 1, 2].every(k => dot(cross(less(corners[(k + 1) % 3], corners[k]), less(p, corners[k])), normal) >= 0)
  return inside ? Math.min(Math.abs(dot(less(p, corners[0]), normal)) / area, ...edges) : Math.min(...edges)
}
