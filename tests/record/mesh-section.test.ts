import { describe, expect, test } from 'vitest'
import { sectionOf, type SectionLine } from '../../server/engine/record/mesh-section.ts'
import { planeOfTool, seen, type ViewFrame } from '../../server/engine/record/view-frame.ts'
import { clipped } from '../../server/engine/record/window.ts'
import type { Triple } from '../../shared/setup.ts'
import { SeededRandom } from '../harness/seeded-random.ts'

// Sections held against bodies whose sections are known from elementary geometry.

/** A box with outward triangles. */
function box(min: Triple, max: Triple): Float64Array {
  const corner = (i: number): Triple => [i & 1 ? max[0] : min[0], i & 2 ? max[1] : min[1], i & 4 ? max[2] : min[2]]
  const sides = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]]
  return Float64Array.from(sides.flatMap(([a, b, c, d]) => [a, b, c, a, c, d]).flatMap(corner))
}

function frame(origin: Triple, toward: Triple): ViewFrame {
  const length = Math.hypot(...toward), t: Triple = [toward[0] / length, toward[1] / length, toward[2] / length]
  // Any axis square to the view will do: the plane of a tool that stands so.
  const other: Triple = Math.abs(t[0]) < 0.9 ? [1, 0, 0] : [0, 1, 0]
  const along = other[0] * t[0] + other[1] * t[1] + other[2] * t[2]
  const up: Triple = [other[0] - along * t[0], other[1] - along * t[1], other[2] - along * t[2]]
  const right: Triple = [up[1] * t[2] - up[2] * t[1], up[2] * t[0] - up[0] * t[2], up[0] * t[1] - up[1] * t[0]]
  return planeOfTool(origin, up, [origin[0] + right[0], origin[1] + right[1], origin[2] + right[2]], [0, 0, 1])
}

/** Area a closed line encloses (the shoelace formula). */
function area({ points }: Pick<SectionLine, 'points'>): number {
  return Math.abs(points.reduce((sum, [x, y], n) => {
    const [p, q] = points[(n + 1) % points.length]
    return sum + x * q - p * y
  }, 0)) / 2
}

describe('sections of a mesh', () => {
  test('a unit cube cut square to its diagonal through its middle is a regular hexagon of area 3√3/4', () => {
    const lines = sectionOf(box([0, 0, 0], [1, 1, 1]), frame([0.5, 0.5, 0.5], [1, 1, 1]))
    expect(lines.map(({ closed }) => closed)).toEqual([true])
    expect(area(lines[0])).toBeCloseTo(3 * Math.sqrt(3) / 4, 12)
  })

  test('a plane that lies in a side, or goes through corners, still gives one closed line', () => {
    for (const [origin, toward] of [[[0, 0, 1], [0, 0, 1]], [[0, 0, 0], [1, -1, 0]], [[0, 0, 0], [0, 1, -1]]] as const) {
      expect(sectionOf(box([0, 0, 0], [1, 1, 1]), frame(origin, toward)).map(({ closed }) => closed)).toEqual([true])
    }
  })

  test('a closed mesh gives closed lines only, wherever it is cut; the cut lies on the plane (seed 20261)', () => {
    const random = new SeededRandom(20_261), between = () => random.between(-1, 1)
    for (let n = 0; n < 200; n++) {
      const plane = frame([between() * 3, between() * 2, between()], [between(), between(), between()])
      const lines = sectionOf(box([-3, -2, -1], [3, 2, 1]), plane)
      expect(lines.every(({ closed, points }) => closed && points.length >= 3)).toBe(true)
      // The box holds the section: taken back into the part frame no place lies outside it.
      for (const [x, y] of lines.flatMap(({ points }) => points)) {
        const place = [0, 1, 2].map(k => plane.origin[k] + x * plane.right[k] + y * plane.up[k])
        expect(Math.max(Math.abs(place[0]) - 3, Math.abs(place[1]) - 2, Math.abs(place[2]) - 1)).toBeLessThan(1e-12)
      }
    }
  })

  test('a mesh with a hole gives an open line', () => {
    expect(sectionOf(box([0, 0, 0], [1, 1, 1]).subarray(18), frame([0.5, 0.5, 0.4], [1, 0, 0.1])).map(({ closed }) => closed)).toEqual([false])
  })

  test('what a window shows of a large square is the window itself with its margin', () => {
    const square: SectionLine = { closed: true, points: [[-100, -100], [100, -100], [100, 100], [-100, 100]] }
    const [shown] = clipped(square, { middle: [10, 20], size: 4, left: 0, side: 300 })
    expect(area(shown)).toBeCloseTo((300 * 1.2) ** 2, 6)
    expect(clipped(square, { middle: [500, 0], size: 4, left: 0, side: 300 })).toEqual([])
  })

  test('the plane of a tool shows its axis upright and the place to the right, square to each other', () => {
    const plane = planeOfTool([1, 2, 3], [0, 0.6, 0.8], [4, 5, 6], [1, 0, 0]), [across, along, depth] = seen(plane, [4, 5, 6])
    expect(along).toBeCloseTo(3 * 0.6 + 3 * 0.8, 12)
    expect(across).toBeCloseTo(Math.sqrt(27 - along ** 2), 12)
    expect(depth).toBeCloseTo(0, 12)
  })

  test('a place on the axis itself is seen with the way of the tool to the right', () => {
    expect(planeOfTool([0, 0, 0], [0, 0, 1], [0, 0, 5], [0, 3, 1]).right).toEqual([0, 1, 0])
    expect(planeOfTool([0, 0, 0], [0, 0, 1], [0, 0, 5], [0, 0, 2]).right).toEqual([1, 0, 0])
  })
})
