import { describe, expect, test } from 'vitest'
import type { Component } from '../../shared/finding.ts'
import type { Cutter, Tool, Triple } from '../../shared/setup.ts'
import { buildMeshTree, type MeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { transform, type Matrix } from '../harness/twin-machine.ts'
import { cylinderMesh, planeMesh, sphereMesh, torusMesh, type MeshOfBody } from './closed-form-bodies.ts'
import { cross, squareTo } from './machines.ts'
import { epsilon } from './random-case.ts'
import { intervalOf, searchPoses, toolOf, type Pose } from './scene.ts'

// Cutters against smooth bodies at a known distance (negative: depth), elementary geometry. A mesh
// with its corners on the surface is off it by at most its chord error, to one side:
//   convex body:  known ≤ distance to the mesh ≤ known + chord
//   bore:         known − chord ≤ distance to the mesh ≤ known
// and the certified interval, no wider than epsilon, holds the distance to the mesh.

const degree = Math.PI / 180
const rounding = 1e-8

const cutters = {
  ball: { shape: 'ball', DC: 6, LCF: 12 },
  bull: { shape: 'bull', DC: 10, RE: 1.5, LCF: 12 },
  flat: { shape: 'flat', DC: 8, LCF: 15 },
  taper: { shape: 'taper', RE: 1, BHTA: 5 * degree, DC: 2 * (Math.cos(5 * degree) + (20 - 1 + Math.sin(5 * degree)) * Math.tan(5 * degree)), LCF: 20 },
} as const satisfies Record<string, Cutter>

/** A place on a cutter's edge, radius and height, and the way out there. */
interface Touch { readonly r: number, readonly h: number, readonly nr: number, readonly nh: number }

/** Touch on the rounded tip; `angle` from straight down. */
const onRound = (offset: number, radius: number, angle: number): Touch =>
  ({ r: offset + radius * Math.sin(angle), h: radius - radius * Math.cos(angle), nr: Math.sin(angle), nh: -Math.cos(angle) })

const touches: readonly (readonly [string, keyof typeof cutters, Touch])[] = [
  ['ball at its tip', 'ball', onRound(0, 3, 0)],
  ['ball leant 37 degrees', 'ball', onRound(0, 3, 37 * degree)],
  ['ball leant 81.5 degrees', 'ball', onRound(0, 3, 81.5 * degree)],
  ['ball on its shaft', 'ball', { r: 3, h: 7.5, nr: 1, nh: 0 }],
  ['bull leant 14 degrees', 'bull', onRound(3.5, 1.5, 14 * degree)],
  ['bull leant 66.6 degrees', 'bull', onRound(3.5, 1.5, 66.6 * degree)],
  ['bull on its flat', 'bull', { r: 1.7, h: 0, nr: 0, nh: -1 }],
  ['bull on its shaft', 'bull', { r: 5, h: 6.1, nr: 1, nh: 0 }],
  ['flat on its face', 'flat', { r: 2.2, h: 0, nr: 0, nh: -1 }],
  ['flat on its side', 'flat', { r: 4, h: 7, nr: 1, nh: 0 }],
  ['taper leant 28 degrees', 'taper', onRound(0, 1, 28 * degree)],
  ['taper on its flank', 'taper', {
    r: Math.cos(5 * degree) + 8 * Math.sin(5 * degree), h: 1 - Math.sin(5 * degree) + 8 * Math.cos(5 * degree),
    nr: Math.cos(5 * degree), nh: -Math.sin(5 * degree),
  }],
]

/** Known distances: 0.4 mm off, touching, as deep as the search looks at all. */
const distances = [0.4, 0.05, 0, -0.01, -0.3]

/** The tool stands so that the place `touch` lies `gap` before `at`, its way out there against `normal`; `side` turns it about that. */
function standing(touch: Touch, at: Triple, normal: Triple, gap: number, side: Triple): Pose {
  // The axis leans in the plane of normal and `e`: out = nr · radial + nh · axis = -normal.
  const e = squareTo(normal, side)
  const axis: Triple = [0, 1, 2].map(k => -touch.nh * normal[k] + touch.nr * e[k]) as unknown as Triple
  const radial = [0, 1, 2].map(k => -touch.nr * normal[k] - touch.nh * e[k])
  const point = [0, 1, 2].map(k => at[k] + gap * normal[k] - touch.r * radial[k] - touch.h * axis[k]) as unknown as Triple
  return { point, axis }
}

/** Passes through the pose without turning, across the normal; 0.6 mm to either side. */
function passing({ point, axis }: Pose, normal: Triple, random: SeededRandom): Pose[] {
  const along = squareTo(normal, random.direction())
  return [-0.6, 0.6].map(way => ({ point: point.map((value, k) => value + way * along[k]) as unknown as Triple, axis }))
}

/** Any motion and turn of space, with a scale: the scene as it would be found elsewhere. */
function elsewhere(random: SeededRandom): { m: Matrix, turn: (v: Triple) => Triple } {
  const x = random.direction(), y = squareTo(x, random.direction()), z = cross(x, y)
  const m: Matrix = [x[0], y[0], z[0], random.between(-90, 90), x[1], y[1], z[1], random.between(-90, 90), x[2], y[2], z[2], random.between(-90, 90), 0, 0, 0, 1]
  return { m, turn: v => transform(m, v, 0) as Triple }
}

function moved(corners: Float64Array, m: Matrix): Float64Array {
  const out = new Float64Array(corners.length)
  for (let i = 0; i < corners.length; i += 3) out.set(transform(m, corners.subarray(i, i + 3), 1), i)
  return out
}

/** Holds the figure of a component against the known one; `low` and `high`: how far the mesh may be off it. */
function expectDistance(tool: Tool, mesh: Float64Array | MeshTree, poses: readonly Pose[], known: number, low: number, high: number, where: string, component: Component = 'cutter'): void {
  const { certified, value } = intervalOf(searchPoses(tool, mesh, poses), component)
  expect(value, where).toBeGreaterThanOrEqual(known - low - rounding)
  expect(value, where).toBeLessThanOrEqual(known + high + epsilon + rounding)
  expect(certified, where).toBeLessThanOrEqual(known + high + rounding)
  expect(value - certified, where).toBeLessThanOrEqual(epsilon + rounding)
}

const trees = new Map<MeshOfBody, MeshTree>()

function treeOf(mesh: MeshOfBody): MeshTree {
  const tree = trees.get(mesh) ?? buildMeshTree(mesh.corners, false).tree
  trees.set(mesh, tree)
  return tree
}

/** A convex body with the surface point and normal at which it is touched. */
type Place = readonly [name: string, mesh: MeshOfBody, at: Triple, normal: Triple]
const convexPlaces: readonly Place[] = [
  ['plane', planeMesh(60, 9), [1.3, -2.7, 0], [0, 0, 1]],
  ['sphere', sphereMesh(40, 5), [40 * 0.48, 40 * 0.64, 40 * 0.6], [0.48, 0.64, 0.6]],
  ['cylinder', cylinderMesh(25, 90, 360), [25 * 0.6, 25 * 0.8, 3.3], [0.6, 0.8, 0]],
]

describe.each(touches)('%s', (_name, shape, touch) => {
  test.each(convexPlaces)('against a %s, seed 11', (body, mesh, at, normal) => {
    const random = new SeededRandom(11)
    const path = (gap: number) => passing(standing(touch, at, normal, gap, random.direction()), normal, random)
    for (const gap of distances) expectDistance(toolOf(cutters[shape]), treeOf(mesh), path(gap), gap, 0, mesh.chord, `${body} at ${gap}`)
    const gap = random.between(-0.3, 0.4), { m, turn } = elsewhere(random)
    const there = path(gap).map(({ point, axis }): Pose => ({ point: transform(m, point, 1) as Triple, axis: turn(axis) }))
    expectDistance(toolOf(cutters[shape]), moved(mesh.corners, m), there, gap, 0, mesh.chord, `${body} at ${gap}, moved and turned`)
  })
})

describe('everything larger or smaller', () => {
  test.each([0.1, 3, 10])('ball, sphere and distance times %f, seed 12', scale => {
    const random = new SeededRandom(12), mesh = sphereMesh(10 * scale, 5)
    const ball: Cutter = { shape: 'ball', DC: 2 * scale, LCF: 3 * scale }
    for (let i = 0; i < 10; i++) {
      const normal = random.direction(), gap = random.between(-0.04, 0.04) * scale
      const at: Triple = [10 * scale * normal[0], 10 * scale * normal[1], 10 * scale * normal[2]]
      const pose = standing(onRound(0, scale, random.between(0, 1.2)), at, normal, gap, random.direction())
      const path = [pose, { ...pose, point: [pose.point[0] + 1e-9, pose.point[1], pose.point[2]] as const }]
      expectDistance(toolOf(ball), mesh.corners, path, gap, 0, mesh.chord, `at ${gap}`)
    }
  })
})

describe('a torus, outside and as a bent pipe', () => {
  const ring = 30, tube = 9, mesh = torusMesh(ring, tube, 400, 160), ball = toolOf({ shape: 'ball', DC: 6, LCF: 3 }, { point: 'centre' })

  test.each([['outside', 1], ['inside', -1]] as const)('a ball %s, seed 13', (_side, side) => {
    const random = new SeededRandom(13)
    for (let i = 0; i < 30; i++) {
      const u = random.between(0, 2 * Math.PI), v = random.between(0, 2 * Math.PI), known = random.between(-0.3, 0.4)
      // The ball's centre, `reach` from the middle of the tube.
      const reach = tube + side * (3 + known)
      const middle: Triple = [ring * Math.cos(u), ring * Math.sin(u), 0]
      const out: Triple = [Math.cos(u) * Math.cos(v), Math.sin(u) * Math.cos(v), Math.sin(v)]
      const point: Triple = [middle[0] + reach * out[0], middle[1] + reach * out[1], middle[2] + reach * out[2]]
      // The half ball's cylinder-free upper side keeps off when the tool stands away from the wall.
      const axis: Triple = [side * out[0], side * out[1], side * out[2]]
      const path = [{ point, axis }, { point: [point[0], point[1], point[2] + 1e-9] as const, axis }]
      expectDistance(ball, treeOf(mesh), path, known, mesh.chord, mesh.chord, `u ${u} v ${v} at ${known}`)
    }
  })
})

describe('in a bore', () => {
  const bore = cylinderMesh(16, 200, 480)
  const tool = toolOf({ shape: 'ball', DC: 6, LCF: 9 }, { neck: { DN: 5, LU: 20 }, shank: { DCONMS: 8 }, LPR: 35, holder: [{ diameter: 20, topDiameter: 20, length: 20 }] })

  test.each([['cutter', 3], ['neck', 2.5], ['shank', 4], ['holder', 10]] as const)('the %s beside the wall, its axis along the bore', (component, radius) => {
    for (const known of [0.4, 0.1, 0, -0.2]) {
      const out = 16 - radius - known
      const path: Pose[] = [0, 5].map(z => ({ point: [out * 0.28, out * 0.96, z - 40], axis: [0, 0, 1] }))
      expectDistance(tool, treeOf(bore), path, known, bore.chord, 0, `at ${known}`, component)
    }
  })
})

describe('the edge of a flat end mill in a plane', () => {
  // Leant by θ and let in by δ at the edge, the plane's deepest point lies on the bisector of the
  // edge's right angle: it is δ / (cos θ + sin θ) below face and side alike.
  const plane = planeMesh(40, 4)
  const cases = [5, 30, 45, 72.5].flatMap(lean => [0.02, 0.25].map(depth => [lean, depth] as const))
  const figureOf = (lean: number, depth: number) => {
    const theta = lean * degree, axis: Triple = [Math.sin(theta) * 0.6, Math.sin(theta) * 0.8, Math.cos(theta)]
    // The lowest point of the edge lies R sin θ below the middle of the face.
    const point: Triple = [3, -2, 4 * Math.sin(theta) - depth]
    return intervalOf(searchPoses(toolOf(cutters.flat), treeOf(plane), [{ point, axis }, { point: [3.5, -2, point[2]], axis }]), 'cutter')
  }

  test.each(cases)('leant %f degrees, let in by %f mm: the interval holds the depth', (lean, depth) => {
    const known = -depth / (Math.cos(lean * degree) + Math.sin(lean * degree)), { certified, value } = figureOf(lean, depth)
    expect(certified).toBeLessThanOrEqual(known + rounding)
    expect(value).toBeGreaterThanOrEqual(known - rounding)
  })

  // The depth has a ridge where face and side are equally near: one tangent alone never closes there.
  test('the interval is no wider than asked for', () => {
    for (const [lean, depth] of cases) {
      const { certified, value } = figureOf(lean, depth)
      expect(value - certified).toBeLessThanOrEqual(epsilon + rounding)
    }
  })
})
