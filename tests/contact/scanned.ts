import bunny from 'bunny'
import type { Triple } from '../../shared/setup.ts'
import type { SeededRandom } from '../harness/seeded-random.ts'
import type { Pose } from './scene.ts'

/** The scan (public domain) as 3,674 triangles, 20 mm for one of its units: some 180 mm high; float32 positions. */
export function bunnyMesh(): Float64Array {
  return Float64Array.from(bunny.cells.flatMap(cell => cell.flatMap(i => bunny.positions[i].map(value => Math.fround(20 * value)))))
}

/** A pose whose ball touches somewhere near a triangle's middle, its axis away from the surface, `gap` off the plane of the triangle. */
export function nearSurface(corners: Float64Array, random: SeededRandom, radius: number, gap: number): Pose {
  for (;;) {
    const i = random.whole(0, corners.length / 9 - 1) * 9
    const side = (to: number) => [0, 1, 2].map(k => corners[i + to + k] - corners[i + k])
    const [u, w] = [side(3), side(6)]
    const n = [u[1] * w[2] - u[2] * w[1], u[2] * w[0] - u[0] * w[2], u[0] * w[1] - u[1] * w[0]], size = Math.hypot(...n)
    // A triangle without an area faces nowhere.
    if (size === 0) continue
    const normal: Triple = [n[0] / size, n[1] / size, n[2] / size]
    const at = (k: number) => corners[i + k] + (u[k] + w[k]) / 3 + (radius + gap) * normal[k]
    return { point: [at(0), at(1), at(2)], axis: normal }
  }
}
