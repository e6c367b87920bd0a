import { expect, test } from 'vitest'
import { nearestId, nearestPlace } from '../../webview/geometry/pick.ts'
import { scaleBar } from '../../webview/geometry/scale-bar.ts'
import { SeededRandom } from '../harness/seeded-random.ts'

function picture(size: number, ids: readonly (readonly [number, number, number])[]): Uint8Array {
  const pixels = new Uint8Array(size * size * 4)
  for (const [x, y, id] of ids) new DataView(pixels.buffer).setUint32((y * size + x) * 4, id, true)
  return pixels
}

test('an empty picture holds nothing', () => {
  expect(nearestId(picture(7, []), 7)).toBe(0)
})

test('the nearest to the middle wins, wherever the others stand', () => {
  expect(nearestId(picture(7, [[0, 0, 5], [4, 3, 9], [3, 6, 2]]), 7)).toBe(9)
})

test('ids of all four bytes are read whole', () => {
  for (const id of [1, 255, 256, 65_536, 500_000, 0xfffffffe]) expect(nearestId(picture(3, [[2, 2, id]]), 3)).toBe(id)
})

test.each([11, 12])('against a search over all pixels, seed %d', seed => {
  const random = new SeededRandom(seed)
  for (let round = 0; round < 100; round++) {
    const ids = Array.from({ length: random.whole(0, 6) }, (_, i): [number, number, number] => [random.whole(0, 12), random.whole(0, 12), i + 1])
    const distances = ids.map(([x, y]) => Math.hypot(x - 6, y - 6))
    const found = nearestId(picture(13, ids), 13)
    if (ids.length === 0) expect(found).toBe(0)
    else expect(distances[found - 1]).toBeCloseTo(Math.min(...distances), 9)
  }
})

test('the nearest mark within reach; those off the screen are passed over', () => {
  const places = [NaN, NaN, 10, 10, 14, 10]
  expect(nearestPlace(places, 13, 10, 9)).toBe(2)
  expect(nearestPlace(places, 11, 10, 9)).toBe(1)
  expect(nearestPlace(places, 40, 40, 9)).toBeUndefined()
  expect(nearestPlace([], 0, 0, 9)).toBeUndefined()
})

test.each([[10, 120, 10, 100], [1, 120, 100, 100], [7, 120, 10, 70], [0.003, 120, 20_000, 60], [30_000, 120, 0.002, 60]])(
  'at %f pixels a unit in %f pixels the bar is %f long', (pixelsPerUnit, room, length, pixels) => {
    const bar = scaleBar(pixelsPerUnit, room)
    expect(bar?.length).toBeCloseTo(length, 9)
    expect(bar?.pixels).toBeCloseTo(pixels, 6)
  })

test('the bar uses at least two fifths of its room and never more than all of it, seed 5', () => {
  const random = new SeededRandom(5)
  for (let i = 0; i < 500; i++) {
    const pixels = scaleBar(10 ** random.between(-6, 6), 120)?.pixels ?? NaN
    expect(pixels).toBeLessThanOrEqual(120 * (1 + 1e-9))
    expect(pixels).toBeGreaterThanOrEqual(120 * 0.4 * (1 - 1e-9))
  }
})

test('no bar where there is no scale', () => {
  for (const scale of [0, NaN, Infinity, -1]) expect(scaleBar(scale, 120)).toBeUndefined()
})
