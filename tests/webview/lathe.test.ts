import { describe, expect, test } from 'vitest'
import { latheSurface } from '../../webview/geometry/lathe.ts'
import type { LatheSurface } from '../../webview/geometry/lathe.ts'

type Outline = readonly (readonly [number, number])[]

const SIDES = 96
const arc = (radius: number, steps: number): [number, number][] =>
  Array.from({ length: steps + 1 }, (_, k) => [radius * Math.sin(k / steps * Math.PI), radius - radius * Math.cos(k / steps * Math.PI)])

function triangles(surface: LatheSurface): { readonly corners: readonly (readonly number[])[], readonly normals: readonly (readonly number[])[] }[] {
  const row = (array: Float32Array, i: number) => [...array.slice(i * 3, i * 3 + 3)]
  const found = []
  for (let i = 0; i < surface.indices.length; i += 3) {
    const indices = [...surface.indices.slice(i, i + 3)]
    found.push({ corners: indices.map(index => row(surface.positions, index)), normals: indices.map(index => row(surface.normals, index)) })
  }
  return found
}

const minus = (a: readonly number[], b: readonly number[]) => a.map((value, k) => value - b[k])
const cross = (a: readonly number[], b: readonly number[]) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
const dot = (a: readonly number[], b: readonly number[]) => a.reduce((sum, value, k) => sum + value * b[k], 0)

/** Area, and volume by the divergence theorem: right only where the surface is closed and faces outward. */
function measure(surface: LatheSurface): { area: number, volume: number } {
  let area = 0, volume = 0
  for (const { corners: [a, b, c] } of triangles(surface)) {
    const twice = cross(minus(b, a), minus(c, a))
    area += Math.hypot(...twice) / 2
    volume += dot(a, twice) / 6
  }
  return { area, volume }
}

// Closed forms of the solids of revolution; the polygon of 96 sides lies within 0.3 % of the circle.
describe('area and volume', () => {
  test.each<[string, Outline, number, number]>([
    ['a cylinder', [[3, 2], [3, 12]], 2 * Math.PI * 3 * 10 + 2 * Math.PI * 9, Math.PI * 9 * 10],
    ['a cone on its tip', [[0, 0], [4, 3]], Math.PI * 4 * 5 + Math.PI * 16, Math.PI * 16],
    ['a ball', arc(2, 64), 4 * Math.PI * 4, 4 / 3 * Math.PI * 8],
    ['a stepped holder', [[6, 0], [6, 30], [25, 30], [25, 50]], Math.PI * (36 + 2 * 6 * 30 + (625 - 36) + 2 * 25 * 20 + 625), Math.PI * (36 * 30 + 625 * 20)],
  ])('%s', (_name, outline, area, volume) => {
    const found = measure(latheSurface(outline, SIDES))
    expect(Math.abs(found.area / area - 1)).toBeLessThan(0.004)
    expect(Math.abs(found.volume / volume - 1)).toBeLessThan(0.004)
  })
})

test('normals are of length one and lie on the outer side of each triangle', () => {
  for (const outline of [arc(2, 16), [[1.85, 6], [1.85, 24], [3, 28.3], [3, 38]] as Outline]) {
    for (const { corners: [a, b, c], normals } of triangles(latheSurface(outline, 24))) {
      const face = cross(minus(b, a), minus(c, a))
      for (const normal of normals) {
        expect(Math.hypot(...normal)).toBeCloseTo(1, 5)
        expect(dot(face, normal)).toBeGreaterThan(0)
      }
    }
  }
})

test('a ball is shaded round, a cylinder keeps its edge', () => {
  for (const { corners, normals } of triangles(latheSurface(arc(2, 64), 24))) {
    for (const [k, corner] of corners.entries()) {
      const outward = [corner[0] / 2, corner[1] / 2, (corner[2] - 2) / 2]
      expect(dot(outward, normals[k])).toBeGreaterThan(0.998)
    }
  }
  const axial = triangles(latheSurface([[3, 0], [3, 10]], 24)).flatMap(({ normals }) => normals.map(normal => Math.abs(normal[2])))
  expect(axial.every(share => share === 0 || share === 1)).toBe(true)
})

test.each<[string, Outline]>([['no points', []], ['one point on the axis', [[0, 5]]], ['a piece of the axis', [[0, 0], [0, 8]]]])('%s leave no surface', (_name, outline) => {
  expect(latheSurface(outline, 24).indices).toHaveLength(0)
})

test('the same point twice changes nothing', () => {
  const once = measure(latheSurface([[3, 0], [3, 10]], 24)), twice = measure(latheSurface([[3, 0], [3, 0], [3, 10], [3, 10]], 24))
  expect(twice).toEqual(once)
})
