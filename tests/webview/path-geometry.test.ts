import { describe, expect, test } from 'vitest'
import { PathFlag } from '../../shared/protocol/scene-messages.ts'
import { joinBoxes, pathBox, pathGeometry, segmentCount, segmentsOfMotions, wholePathBox } from '../../webview/geometry/path-geometry.ts'
import type { PathArrays } from '../../webview/geometry/path-geometry.ts'
import { SeededRandom } from '../harness/seeded-random.ts'

const { rapid, start, dogLeg } = PathFlag

/** Vertices as [x, y, z, line, flags]. */
function pathOf(...vertices: readonly (readonly [number, number, number, number, number])[]): PathArrays {
  return {
    positions: Float32Array.from(vertices.flatMap(([x, y, z]) => [x, y, z])),
    lines: Uint32Array.from(vertices.map(vertex => vertex[3])),
    flags: Uint8Array.from(vertices.map(vertex => vertex[4])),
    // One motion a line, as these programs run from top to bottom.
    motions: Uint32Array.from(vertices.map(vertex => vertex[3])),
  }
}

const path = pathOf([0, 0, 50, 2, start], [3, 4, 50, 3, rapid], [3, 4, 0, 4, rapid], [10, 4, 0, 5, 0], [10, 9, 0, 5, 0], [10, 9, 50, 7, rapid], [0, 0, 0, 9, start], [-5, 0, 0, 10, 0])

test('segments are sorted into cutting and rapid ones, in order, each named by its second vertex', () => {
  const { cutting, rapid: rapids } = pathGeometry(path)
  expect([...cutting]).toEqual([2, 3, 3, 4, 6, 7])
  expect([...rapids]).toEqual([0, 1, 1, 2, 4, 5])
  expect(segmentCount(path)).toBe(6)
})

test('dashes run on over the joints of a rapid run and begin anew with the next', () => {
  const { dashStart } = pathGeometry(path)
  expect([...dashStart].slice(0, 3)).toEqual([0, 5, 55])
  expect([dashStart[4], dashStart[5]]).toEqual([0, 50])
})

test('nothing and a single vertex make nothing', () => {
  for (const empty of [pathOf(), pathOf([1, 2, 3, 0, start])]) {
    const { cutting, rapid: rapids } = pathGeometry(empty)
    expect([cutting.length, rapids.length, segmentCount(empty)]).toEqual([0, 0, 0])
    expect([pathBox(empty), wholePathBox(empty)]).toEqual([undefined, undefined])
    expect(segmentsOfMotions(empty, 0, 5)).toHaveLength(0)
  }
})

test('the segments of a run of motions', () => {
  expect([...segmentsOfMotions(path, 5, 5)]).toEqual([3, 4, 0, 10, 4, 0, 10, 4, 0, 10, 9, 0])
  expect(segmentsOfMotions(path, 6, 6)).toHaveLength(0)
  // A start is a place, not a segment.
  expect(segmentsOfMotions(path, 9, 9)).toHaveLength(0)
  expect(segmentsOfMotions(path, 0, 99)).toHaveLength(6 * segmentCount(path))
})

test('rapids that do not run straight are a kind of their own', () => {
  const { rapid: straight, dogLeg: bent, dashStart } = pathGeometry(pathOf([0, 0, 0, 0, start], [3, 0, 0, 1, rapid | dogLeg], [3, 4, 0, 1, rapid | dogLeg], [3, 4, 9, 2, rapid]))
  expect([...bent]).toEqual([0, 1, 1, 2])
  expect([...straight]).toEqual([2, 3])
  expect([...dashStart]).toEqual([0, 3, 7, 16])
})

test('the box of the cutting path leaves rapids out; without cutting it is that of all', () => {
  expect(pathBox(path)).toEqual({ min: [-5, 0, 0], max: [10, 9, 0] })
  expect(wholePathBox(path)).toEqual({ min: [-5, 0, 0], max: [10, 9, 50] })
  expect(pathBox(pathOf([0, 0, 5, 0, start], [1, 2, 3, 1, rapid]))).toEqual({ min: [0, 0, 3], max: [1, 2, 5] })
  expect(joinBoxes(undefined, undefined)).toBeUndefined()
  expect(joinBoxes({ min: [0, 0, 0], max: [1, 1, 1] }, { min: [-1, 0, 0.5], max: [0, 3, 2] })).toEqual({ min: [-1, 0, 0], max: [1, 3, 2] })
})

describe('against the slow and obvious way', () => {
  test.each([1, 2, 3])('seed %d', seed => {
    const random = new SeededRandom(seed)
    const vertices = Array.from({ length: 2000 }, (_, i): [number, number, number, number, number] =>
      [random.between(-9, 9), random.between(-9, 9), random.between(-9, 9), random.whole(0, 300), (random.next() < 0.3 ? rapid : 0) | (i === 0 || random.next() < 0.05 ? start : 0)])
    const sample = pathOf(...vertices)
    const pairs = (wanted: (flags: number) => boolean) => vertices.flatMap((vertex, i) => i > 0 && wanted(vertex[4]) ? [i - 1, i] : [])
    const { cutting, rapid: rapids } = pathGeometry(sample)
    expect([...cutting]).toEqual(pairs(flags => flags === 0))
    expect([...rapids]).toEqual(pairs(flags => flags === rapid))
    expect(segmentCount(sample)).toBe((cutting.length + rapids.length) / 2)
  })
})
