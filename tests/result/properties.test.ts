import { describe, expect, test } from 'vitest'
import type { Cutter } from '../../shared/setup.ts'
import { heightEpsilon } from '../../server/engine/geometry/tolerance.ts'
import { inputOfPoses, toolOf, type Pose } from '../contact/scene.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { measure, type Measured } from './heights.ts'

// The same case moved, turned and scaled has the same heights.

const seed = 771
type Vector = readonly [number, number, number]

describe(`the same case elsewhere, seed ${seed}`, () => {
  test.each([0, 1, 2, 3])('case %i', n => {
    const random = new SeededRandom(seed + n)
    // A bumpy patch, and a path of the tool over it.
    const height = (x: number, y: number) => 0.4 * Math.sin(x) * Math.cos(0.7 * y)
    const corners = patch(12, (x, y) => [x, y, height(x, y)])
    // The axis at rest: between two axes the machine's rotary joints turn evenly, and that way does not turn along.
    const lean = random.between(0, 0.3), axis: Vector = [Math.sin(lean), 0, Math.cos(lean)]
    const poses: Pose[] = Array.from({ length: 12 }, () => {
      const x = random.between(-5, 5), y = random.between(-5, 5)
      return { point: [x, y, height(x, y) + random.between(-0.1, 0.4)], axis }
    })
    const kind = random.whole(0, 2), cutter = cutters(1)[kind]
    const here = byVertex(measure(inputOfPoses(toolOf(cutter), poses), corners, 50), corners)
    const turn = turnAbout(random.direction(), random.between(0, 3)), way = [random.between(-90, 90), random.between(-90, 90), random.between(-90, 90)]
    const move = (p: Vector): Vector => turn(p).map((value, k) => value + way[k]) as unknown as Vector
    const moved = mapCorners(corners, move)
    const there = byVertex(measure(inputOfPoses(toolOf(cutter), poses.map(({ point, axis }) => ({ point: move(point), axis: turn(axis) }))), moved, 50), moved)
    expect(Math.min(...here)).toBeLessThan(0)
    expectAlike(there, here)
    // Twice as large: lengths double.
    const large = cutters(2)[kind]
    const double = (p: Vector): Vector => [p[0] * 2, p[1] * 2, p[2] * 2]
    const doubled = mapCorners(corners, double)
    const twice = byVertex(measure(inputOfPoses(toolOf(large), poses.map(({ point, axis }) => ({ point: double(point), axis }))), doubled, 100), doubled)
    here.forEach((value, i) => {
      if (Math.abs(value) < 1.4) expect(Math.abs(twice[i] - 2 * value)).toBeLessThan(3 * heightEpsilon)
    })
  })
})

function cutters(scale: number): readonly Cutter[] {
  return [
    { shape: 'ball', DC: 4 * scale, LCF: 8 * scale }, { shape: 'bull', DC: 6 * scale, RE: scale, LCF: 8 * scale }, { shape: 'flat', DC: 5 * scale, LCF: 8 * scale },
  ]
}

function expectAlike(there: readonly number[], here: readonly number[]): void {
  expect(there.length).toBe(here.length)
  there.forEach((value, i) => expect(Math.abs(value - here[i])).toBeLessThan(heightEpsilon + 1e-5))
}

/** Heights by vertex, in the order of the mesh's corners, which the tree's order and the samples' curve hide. */
function byVertex({ samples: { points, count }, figures }: Measured, corners: Float64Array): number[] {
  const heights = new Map(Array.from({ length: count }, (_, i) => [keyOf(points, i * 3), figures.value[i]]))
  return Array.from({ length: corners.length / 3 }, (_, i) => heights.get(keyOf(corners, i * 3)) ?? NaN)
}

function keyOf(points: Float64Array, at: number): string {
  return [...points.subarray(at, at + 3)].join(' ')
}

function patch(size: number, at: (x: number, y: number) => Vector): Float64Array {
  const cells: number[] = []
  for (let i = 0; i < size; i++) {
    for (let j = 0; j < size; j++) {
      const corner = (a: number, b: number) => at(-6 + 12 * a / size, -6 + 12 * b / size)
      const [p, q, r, s] = [corner(i, j), corner(i + 1, j), corner(i + 1, j + 1), corner(i, j + 1)]
      cells.push(...p, ...q, ...r, ...p, ...r, ...s)
    }
  }
  return Float64Array.from(cells)
}

function mapCorners(corners: Float64Array, f: (p: Vector) => Vector): Float64Array {
  const out = new Float64Array(corners.length)
  for (let i = 0; i < corners.length; i += 3) out.set(f([corners[i], corners[i + 1], corners[i + 2]]), i)
  return out
}

/** Rodrigues' rotation. */
function turnAbout(e: Vector, angle: number): (p: Vector) => Vector {
  const s = Math.sin(angle), c = Math.cos(angle)
  return ([x, y, z]) => {
    const dot = (e[0] * x + e[1] * y + e[2] * z) * (1 - c)
    return [x * c + s * (e[1] * z - e[2] * y) + e[0] * dot, y * c + s * (e[2] * x - e[0] * z) + e[1] * dot, z * c + s * (e[0] * y - e[1] * x) + e[2] * dot]
  }
}
