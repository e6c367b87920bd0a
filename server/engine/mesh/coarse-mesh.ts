import type { Problem } from '../../../shared/problem.ts'
import { cellKey } from '../geometry/cell-key.ts'
import { figure, type MeshPlace, meshProblem, placeOf, pointOf } from './mesh-place.ts'

/** Share of the surface that may be coarse before it is said: a few facets beside an edge prove nothing. */
const COARSE_SHARE = 0.01

export interface CoarsenessInput {
  readonly name: string
  /** mm; the facets' own error must stay below a third of it (common practice). */
  readonly gouge: number
  /** Only facets about as near as `reach` to one of the points (x y z, part frame, mm) count: where the program cuts. Absent: all. */
  readonly cut?: { readonly points: Float64Array, readonly reach: number }
  readonly place?: MeshPlace
}

/** Whether the flat facets lie too far from the smooth surface for the gouge limit; `chordErrors`: mm, a facet each. */
export function coarseMesh(corners: Float64Array, chordErrors: Float32Array, { name, gouge, cut, place }: CoarsenessInput): Problem | undefined {
  if (!(gouge > 0)) return undefined
  const limit = gouge / 3
  const near = cut === undefined ? undefined : new CutRegion(cut.points, cut.reach)
  let area = 0, beyond = 0, worst = 0, worstAt = 0
  for (let t = 0; t < chordErrors.length; t++) {
    const at = 9 * t
    if (near !== undefined && !near.holds(corners, at)) continue
    const own = doubleArea(corners, at)
    area += own
    if (chordErrors[t] > limit) beyond += own
    if (chordErrors[t] > worst) {
      worst = chordErrors[t]
      worstAt = at
    }
  }
  if (!(beyond > area * COARSE_SHARE)) return undefined
  const where = cut === undefined ? 'its surface' : 'the surface that the program cuts'
  const share = `${Number((100 * beyond / area).toPrecision(2))} %`
  return meshProblem('mesh-too-coarse', `${name} is coarse for a gouge limit of ${figure(gouge)} mm: on ${share} of ${where} the flat facets are estimated to lie more than a third of that (${figure(limit)} mm) from the smooth shape, at worst ${figure(worst)} mm near ${pointOf(corners, worstAt)}. Depths are proven against the facets; export the part with a finer chord tolerance to bring facets and shape together.`, placeOf(name, place))
}

/** The cubes of side `reach` that hold a point, and their neighbours. */
class CutRegion {
  readonly #cells = new Set<number>()
  readonly #reach: number

  constructor(points: Float64Array, reach: number) {
    this.#reach = reach
    const seen = new Set<number>()
    for (let i = 0; i + 2 < points.length; i += 3) {
      const x = this.#step(points[i]), y = this.#step(points[i + 1]), z = this.#step(points[i + 2])
      const own = cellKey(x, y, z)
      if (seen.has(own)) continue
      seen.add(own)
      for (let dx = -1; dx <= 1; dx++) for (let dy = -1; dy <= 1; dy++) for (let dz = -1; dz <= 1; dz++) this.#cells.add(cellKey(x + dx, y + dy, z + dz))
    }
  }

  /** By the middle of the facet at `at`. */
  holds(corners: Float64Array, at: number): boolean {
    const middle = (k: number) => this.#step((corners[at + k] + corners[at + 3 + k] + corners[at + 6 + k]) / 3)
    return this.#cells.has(cellKey(middle(0), middle(1), middle(2)))
  }

  #step(coordinate: number): number {
    return Math.floor(coordinate / this.#reach)
  }
}

function doubleArea(corners: Float64Array, i: number): number {
  const ux = corners[i + 3] - corners[i], uy = corners[i + 4] - corners[i + 1], uz = corners[i + 5] - corners[i + 2]
  const vx = corners[i + 6] - corners[i], vy = corners[i + 7] - corners[i + 1], vz = corners[i + 8] - corners[i + 2]
  return Math.sqrt((uy * vz - uz * vy) ** 2 + (uz * vx - ux * vz) ** 2 + (ux * vy - uy * vx) ** 2)
}
