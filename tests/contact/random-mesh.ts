import type { Triple } from '../../shared/setup.ts'
import type { SeededRandom } from '../harness/seeded-random.ts'
import { sphere } from '../mesh/bodies.ts'
import { cross, squareTo } from './machines.ts'

/** What a mesh is like: a wavy patch, a wider one of up to 800 triangles, loose triangles of any shape, a ball, slivers, one large facet. */
export const meshKinds = ['patch', 'field', 'soup', 'ball', 'slivers', 'facet'] as const

/** A mesh about the origin whose surface faces +z as far as it faces anywhere; nine numbers a triangle, mm. */
export function randomMesh(random: SeededRandom, kind: typeof meshKinds[number]): Float64Array {
  const size = random.pick([0.5, 3, 15])
  const anywhere = (): Triple => [random.between(-size, size), random.between(-size, size), random.between(-size, size) * 0.3]
  switch (kind) {
    case 'patch':
      return patch(random, size, random.whole(2, 8))
    case 'field':
      return patch(random, size, random.whole(12, 20))
    case 'soup':
      return Float64Array.from(Array.from({ length: random.whole(1, 40) * 3 }, anywhere).flat())
    case 'ball':
      return sphere(size, random.whole(0, 1))
    case 'slivers':
      // Long and a ten-thousandth as wide, some of no area at all.
      return Float64Array.from(Array.from({ length: random.whole(1, 20) }, () => {
        const [a, b] = [anywhere(), anywhere()], t = random.next(), off = random.pick([0, 1e-4, 1e-2]) * size
        return [...a, ...b, a[0] + (b[0] - a[0]) * t + off, a[1] + (b[1] - a[1]) * t, a[2] + (b[2] - a[2]) * t + off]
      }).flat())
    case 'facet': {
      const reach = size * 10
      return Float64Array.of(-reach, -reach, 0, reach, -reach, 0, random.between(-reach, reach), reach, 0)
    }
  }
}

function patch(random: SeededRandom, size: number, cells: number): Float64Array {
  const heights = Array.from({ length: (cells + 1) ** 2 }, () => random.between(-0.5, 0.5) * size / cells)
  const corner = (i: number, j: number): Triple => [(2 * i / cells - 1) * size, (2 * j / cells - 1) * size, heights[i * (cells + 1) + j]]
  const numbers: number[] = []
  for (let i = 0; i < cells; i++) {
    for (let j = 0; j < cells; j++) {
      const [a, b, c, d] = [corner(i, j), corner(i + 1, j), corner(i + 1, j + 1), corner(i, j + 1)]
      numbers.push(...a, ...b, ...c, ...a, ...c, ...d)
    }
  }
  return Float64Array.from(numbers)
}

/** Turns the mesh so that +z becomes `up`, and moves it so that `from` (as it was) comes to lie at `to`. */
export function laidAt(corners: Float64Array, from: ArrayLike<number>, to: Triple, up: Triple, beside: Triple): Float64Array {
  const x = squareTo(up, beside), y = cross(up, x)
  const out = new Float64Array(corners.length)
  for (let i = 0; i < corners.length; i += 3) {
    const d = [corners[i] - from[0], corners[i + 1] - from[1], corners[i + 2] - from[2]]
    for (let k = 0; k < 3; k++) out[i + k] = to[k] + d[0] * x[k] + d[1] * y[k] + d[2] * up[k]
  }
  return out
}
