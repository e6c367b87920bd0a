import { Triangle, Vector3 } from 'three'
import { describe, expect, test } from 'vitest'
import type { ToolOutline } from '../../shared/protocol/scene-messages.ts'
import { MotionFlag } from '../../shared/toolpath.ts'
import type { MotionTable } from '../../webview/geometry/motion-table.ts'
import { PoseReader } from '../../webview/geometry/pose-reader.ts'
import { sweptSurface } from '../../webview/geometry/swept-surface.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { programOf } from './motion-samples.ts'
import type { SampleMotion } from './motion-samples.ts'

// The surface is held against the tool itself, standing at thousands of moments: no point of it may lie
// off the sweep, and no point of the sweep's outside may be without surface.

interface Cutter { readonly outline: readonly (readonly [number, number])[], readonly distance: (r: number, h: number) => number }

const LENGTH = 9

/** Signed distances written down from the shapes, for points near them. */
const cutters: Readonly<Record<string, Cutter>> = {
  ball: {
    outline: [...Array.from({ length: 33 }, (_, k): [number, number] => [3 * Math.sin(k * Math.PI / 64), 3 - 3 * Math.cos(k * Math.PI / 64)]), [3, LENGTH]],
    distance: (r, h) => h < 3 ? Math.hypot(r, h - 3) - 3 : Math.max(r - 3, h - LENGTH),
  },
  flat: { outline: [[0, 0], [3, 0], [3, LENGTH]], distance: (r, h) => Math.max(r - 3, -h, h - LENGTH) },
  cone: {
    outline: [[1, 0], [3, LENGTH]],
    distance: (r, h) => Math.max(((r - 1) * LENGTH - 2 * h) / Math.hypot(LENGTH, 2), -h, h - LENGTH),
  },
}

const toolOf = (name: string): ToolOutline => ({ number: 1, name, parts: [{ component: 'cutter', outline: cutters[name].outline }] })

/** Distance of a place to the tool at every moment, the least of them. */
function toSweep(table: MotionTable, { distance }: Cutter, place: readonly number[]): number {
  const reader = new PoseReader(table)
  let least = Infinity
  for (let motion = 0; motion < table.count; motion++) {
    if (table.isRapid(motion)) continue
    for (let step = 0; step <= 160; step++) {
      reader.go(motion, step / 160)
      const { px, py, pz, ax, ay, az } = reader.pose
      const x = place[0] - px, y = place[1] - py, z = place[2] - pz, h = x * ax + y * ay + z * az
      least = Math.min(least, distance(Math.sqrt(Math.max(0, x * x + y * y + z * z - h * h)), h))
    }
  }
  return least
}

function triangles({ positions, indices }: { readonly positions: Float32Array, readonly indices: Uint32Array }): Triangle[] {
  const at = (i: number) => new Vector3(positions[i * 3], positions[i * 3 + 1], positions[i * 3 + 2])
  return Array.from({ length: indices.length / 3 }, (_, i) => new Triangle(at(indices[i * 3]), at(indices[i * 3 + 1]), at(indices[i * 3 + 2])))
}

const ways: Readonly<Record<string, readonly SampleMotion[]>> = {
  'level, with corners': [{ to: [12, 0, 0] }, { to: [12, 9, 0] }, { to: [4, 15, 0] }],
  'up and down a slope': [{ to: [10, 0, 4] }, { to: [18, 3, -2] }],
  'turning as it goes': [{ to: [9, 2, 0], a: -0.2, c: 0.1 }, { to: [16, 6, 1], a: -0.6, c: 0.5 }],
  'back along its way': [{ to: [10, 0, 0] }, { to: [2, 0, 0] }],
  'straight down': [{ to: [0, 0, -6] }],
}

/** Chords of the outline, of the turning and of the corners. */
const TOLERANCE = 0.06

describe.each(Object.keys(ways))('%s', way => {
  test.each(Object.keys(cutters))('%s', name => {
    const table = programOf([0, 0, 0], ways[way])
    const cutter = cutters[name]
    const surface = sweptSurface(table, [toolOf(name)], 0, table.count - 1)
    expect([surface.first, surface.last]).toEqual([0, table.count - 1])
    const random = new SeededRandom(41)
    for (let i = 0; i < 400; i++) {
      const vertex = random.whole(0, surface.positions.length / 3 - 1) * 3
      expect(toSweep(table, cutter, [...surface.positions.subarray(vertex, vertex + 3)])).toBeLessThan(TOLERANCE)
    }
    const all = triangles(surface)
    const reader = new PoseReader(table)
    const nearest = new Vector3()
    let looked = 0
    for (let i = 0; i < 400; i++) {
      // A place on the cutter at some moment, off its upper end: there the surface is left open.
      reader.go(random.whole(0, table.count - 1), random.next() < 0.3 ? 1 : random.next())
      const { px, py, pz, ax, ay, az } = reader.pose
      const height = random.between(0, LENGTH - 2.5), turn = random.between(0, 2 * Math.PI)
      const radius = widest(cutter, height)
      const axis = new Vector3(ax, ay, az), u = new Vector3(1, 0, 0).cross(axis).normalize(), v = axis.clone().cross(u)
      const place = new Vector3(px, py, pz).addScaledVector(axis, height).addScaledVector(u, radius * Math.cos(turn)).addScaledVector(v, radius * Math.sin(turn))
      if (toSweep(table, cutter, place.toArray()) < -2e-3) continue
      looked++
      const gap = Math.min(...all.map(triangle => triangle.closestPointToPoint(place, nearest).distanceTo(place)))
      expect(gap, `a place on the outside at ${place.toArray().map(one => one.toFixed(3)).join(' ')}`).toBeLessThan(TOLERANCE)
    }
    expect(looked).toBeGreaterThan(5)
  })
})

/** Radius of the cutter at a height, from its distance. */
function widest({ distance }: Cutter, height: number): number {
  let inside = 0, outside = 10
  for (let i = 0; i < 60; i++) {
    const middle = (inside + outside) / 2
    if (distance(middle, height) < 0) inside = middle
    else outside = middle
  }
  return inside
}

test('rapids leave no wake', () => {
  const table = programOf([0, 0, 0], [{ to: [9, 0, 0], flags: MotionFlag.rapid }])
  expect(sweptSurface(table, [toolOf('ball')], 0, 0).indices.length).toBe(0)
})

test('a run that is too long shows its end', () => {
  const table = programOf([0, 0, 0], Array.from({ length: 9000 }, (_, i) => ({ to: [0.1 * (i + 1), Math.sin(i), 0] as const })))
  const { first, last, positions } = sweptSurface(table, [toolOf('ball')], 0, 8999)
  expect(last).toBe(8999)
  expect(first).toBeGreaterThan(1000)
  expect(positions.length / 3).toBeLessThan(1_500_000)
})
