import { describe, expect, it } from 'vitest'
import { placeMesh } from '../../server/engine/mesh/place-mesh.ts'
import { SeededRandom } from '../harness/seeded-random.ts'

const quarter = Math.PI / 2
const corner = Float64Array.of(1, 2, 3, 0, 0, 0, 0, 0, 0)
const place = (scale: number, rotate: readonly [number, number, number], translate: readonly [number, number, number]) => [...placeMesh(corner, { scale, rotate, translate }).subarray(0, 3)]

describe('a mesh is scaled, turned about the fixed X, then Y, then Z axis, then moved', () => {
  it.each<[string, number[], number[]]>([
    ['as it is', place(1, [0, 0, 0], [0, 0, 0]), [1, 2, 3]],
    ['inch', place(25.4, [0, 0, 0], [0, 0, 0]), [25.4, 50.8, 3 * 25.4]],
    ['moved in mm, whatever its unit', place(25.4, [0, 0, 0], [1, 1, 1]), [26.4, 51.8, 3 * 25.4 + 1]],
    ['about X', place(1, [quarter, 0, 0], [0, 0, 0]), [1, -3, 2]],
    ['about Y', place(1, [0, quarter, 0], [0, 0, 0]), [3, 2, -1]],
    ['about Z', place(1, [0, 0, quarter], [0, 0, 0]), [-2, 1, 3]],
    ['about X, then the fixed Z', place(1, [quarter, 0, quarter], [0, 0, 0]), [3, 1, 2]],
    ['about X, then the fixed Y', place(1, [quarter, quarter, 0], [0, 0, 0]), [2, -3, -1]],
    ['turned, then moved', place(1, [0, 0, 2 * quarter], [10, 0, 0]), [9, -2, 3]],
    ['turned back', place(1, [0, 0, -quarter], [0, 0, 0]), [2, -1, 3]],
  ])('%s', (_, placed, wanted) => {
    // Right angles leave no rounding behind.
    expect(placed).toEqual(wanted)
  })

  it('agrees with three plain turns, one after the other (seed 4)', () => {
    const random = new SeededRandom(4)
    for (let run = 0; run < 200; run++) {
      const rotate: [number, number, number] = [random.between(-7, 7), random.between(-7, 7), random.between(-7, 7)]
      const scale = random.between(0.1, 30), translate: [number, number, number] = [random.between(-99, 99), 5, -3]
      let [x, y, z] = [corner[0] * scale, corner[1] * scale, corner[2] * scale]
      const turn = (a: number, p: number, q: number) => [p * Math.cos(a) - q * Math.sin(a), p * Math.sin(a) + q * Math.cos(a)];
      [y, z] = turn(rotate[0], y, z);
      [z, x] = turn(rotate[1], z, x);
      [x, y] = turn(rotate[2], x, y)
      const placed = place(scale, rotate, translate)
      for (const [k, wanted] of [x + translate[0], y + translate[1], z + translate[2]].entries()) expect(placed[k]).toBeCloseTo(wanted, 10)
    }
  })

  it('leaves the file\'s corners as they are', () => {
    const before = corner.slice()
    placeMesh(corner, { scale: 2, rotate: [1, 1, 1], translate: [1, 1, 1] })
    expect(corner).toEqual(before)
  })
})
