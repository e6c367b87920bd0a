import { describe, expect, test } from 'vitest'
import { boxStock, cylinderStock } from '../../server/engine/stock/fill-shape.ts'
import { meshStock, offsetStock } from '../../server/engine/stock/fill-mesh.ts'
import { pitchFor } from '../../server/engine/stock/grid-frame.ts'
import { boxTriangles } from '../harness/example-mesh.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { stretchesOf } from './grid-points.ts'

const box = Float64Array.from(boxTriangles([-10, -7, -5], [10, 7, 3]).flat(2))

describe('the stock at first', () => {
  test('a box has its volume at any pitch', () => {
    for (const pitch of [0.3, 0.77, 1.9]) {
      const grid = boxStock({ min: [-10, -7, -5], max: [10, 7, 3] }, pitch)
      for (const family of grid.families) expect(family.volume()).toBeCloseTo(20 * 14 * 8, 3)
    }
  })

  test('a cylinder: π r² h, better with a finer pitch', () => {
    const errorAt = (pitch: number) => Math.max(...[0, 0.1, 0.2, 0.3, 0.4].map(more => {
      const radius = 15.05 + more * pitch
      return Math.abs(cylinderStock(2 * radius, -10, 5, pitch).volume() / (Math.PI * radius ** 2 * 15) - 1)
    }))
    expect(errorAt(1)).toBeLessThan(6e-3)
    expect(errorAt(0.25)).toBeLessThan(errorAt(1) / 2)
  })

  test('a mesh is what it encloses, however it lies; rays through its edges count once', () => {
    for (const family of meshStock(box, 0.5).families) expect(family.volume()).toBeCloseTo(20 * 14 * 8, 3)
    const random = new SeededRandom(7)
    for (let i = 0; i < 5; i++) {
      const [a, b] = [random.between(0, 6), random.between(0, 6)]
      const turned = Float64Array.from(box)
      for (let at = 0; at < turned.length; at += 3) {
        const [x, y, z] = turned.subarray(at, at + 3)
        const u = x * Math.cos(a) - y * Math.sin(a), v = x * Math.sin(a) + y * Math.cos(a)
        turned.set([u, v * Math.cos(b) - z * Math.sin(b), v * Math.sin(b) + z * Math.cos(b)], at)
      }
      for (const family of meshStock(turned, 0.2).families) expect(Math.abs(family.volume() - 2240)).toBeLessThan(8)
    }
  })

  // Steiner's formula for a convex body: V + S d + M d² + 4/3 π d³, with M = π (a + b + c) for a box.
  test('a part grown by an offset: the volume of Steiner\'s formula', () => {
    const d = 1.5, wanted = 2240 + 2 * (20 * 14 + 14 * 8 + 8 * 20) * d + Math.PI * (20 + 14 + 8) * d * d + 4 / 3 * Math.PI * d ** 3
    for (const family of offsetStock(box, d, 0.11).families) expect(Math.abs(family.volume() / wanted - 1)).toBeLessThan(2e-3)
  })

  test('a hole stays open when the part is grown by less than half of it', () => {
    // Four bars about a square hole, 6 across; grown by 1 it is 4 across.
    const bars = [[-5, -5, 5, -3], [-5, 3, 5, 5], [-5, -5, -3, 5], [3, -5, 5, 5]].flatMap(([x0, y0, x1, y1]) => boxTriangles([x0, y0, 0], [x1, y1, 20]))
    const grid = offsetStock(Float64Array.from(bars.flat(2)), 1, 0.25), alongZ = grid.families[2]
    let open = 0
    for (let j = 0; j < alongZ.nv; j++) for (let i = 0; i < alongZ.nu; i++) if (stretchesOf(grid, alongZ, i, j).length === 0) open++
    // The corners of the outer edge are rounded off: 4 (1 − π / 4) d².
    expect(Math.abs(open * alongZ.area - 16 - (4 - Math.PI))).toBeLessThan(0.5)
  })

  test('growing a part ends soon when nobody waits', () => {
    let asked = 0
    offsetStock(box, 1.5, 0.2, { cancelled: () => { asked++; return false } })
    let more = 0
    offsetStock(box, 1.5, 0.2, { cancelled: () => ++more > 1000 })
    expect(asked).toBeGreaterThan(2000)
    expect(more - 1000).toBeLessThan(100)
  })

  test('the pitch follows from the memory', () => {
    const cube = { min: [0, 0, 0], max: [100, 100, 100] } as const, budget = 2 ** 21, pitch = pitchFor(cube, budget)
    // Three times 100 × 100 rays a mm², of 9 bytes.
    expect(pitch).toBeGreaterThanOrEqual(Math.sqrt(30_000 * 9 / budget))
    expect(pitch).toBeLessThan(1.1 * Math.sqrt(30_000 * 9 / budget))
    expect(boxStock(cube, pitch).bytes()).toBeLessThan(1.2 * budget)
    // Unasked, nothing is followed finer than a tenth of a millimetre.
    expect(pitchFor({ min: [0, 0, 0], max: [20, 20, 20] })).toBe(0.1)
  })
})
