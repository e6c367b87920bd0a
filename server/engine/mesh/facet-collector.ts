import { type Affine, isMirrored, placedPoints } from './affine.ts'
import { count, MOST_TRIANGLES } from './mesh-place.ts'
import type { FileUnit, MeshResult } from './mesh-facets.ts'

/** The largest figure of a float32; beyond it a coordinate is as good as infinite. */
const LARGEST = 3.4028235e38

/** Corners of a polygon that are tried as the middle of its fan; more are never needed in practice. */
const MOST_STARTS = 32

/** Corners that may be laid out in all: more than a mesh that can be handled has, were no corner shared. */
const MOST_CORNERS = 3 * MOST_TRIANGLES

/** Gathers the triangles of a file that keeps corners and facets apart. */
export class FacetCollector {
  /** Facets left out because a corner is not a number, and because it has too few corners or unknown ones. */
  notFinite = 0
  unusable = 0
  /** Polygons that no fan fills without turning over. */
  hollow = 0
  #corners = new Float64Array(9 * 1024)
  #used = 0
  #vertices: ArrayLike<number> = []
  #vertexCount = 0
  #isMirrored = false
  #laidOut = 0

  /** The corners that the facets after this name by number: three numbers each. */
  use(vertices: ArrayLike<number>, vertexCount = vertices.length / 3): void {
    this.#vertices = vertices
    this.#vertexCount = vertexCount
    this.#isMirrored = false
  }

  /** The same, laid elsewhere; a mirrored body keeps its facets outward. False once there are too many corners. */
  usePlaced(vertices: Float64Array, place: Affine): boolean {
    this.#laidOut += vertices.length / 3
    if (this.#laidOut > MOST_CORNERS) return false
    this.use(placedPoints(vertices, place))
    this.#isMirrored = isMirrored(place)
    return true
  }

  /** Numbers of corners from 0, `size` of them; cut into triangles as a fan. False once there are too many triangles. */
  polygon(indices: ArrayLike<number>, size: number): boolean {
    if (size < 3) {
      this.unusable++
      return true
    }
    for (let i = 0; i < size; i++) {
      const index = indices[i]
      if (isIndex(index, this.#vertexCount)) continue
      this.unusable++
      return true
    }
    if (size === 3) return this.#triangle(indices[0], indices[1], indices[2])
    const start = this.#fanStart(indices, size)
    for (let i = 1; i + 1 < size; i++) {
      if (!this.#triangle(indices[start], indices[(start + i) % size], indices[(start + i + 1) % size])) return false
    }
    return true
  }

  triangle(a: number, b: number, c: number): boolean {
    const last = this.#vertexCount
    if (isIndex(a, last) && isIndex(b, last) && isIndex(c, last)) return this.#triangle(a, b, c)
    this.unusable++
    return true
  }

  result(unit?: FileUnit, remarks: readonly string[] = []): MeshResult {
    const said = this.hollow === 0 ? remarks : [...remarks, `has ${this.hollow === 1 ? 'a polygon that turns' : `${count(this.hollow)} polygons that turn`} inward so far that the triangles cut from ${this.hollow === 1 ? 'it' : 'them'} overlap. Export the part as triangles.`]
    return { corners: this.#corners.slice(0, this.#used), notFinite: this.notFinite, unusable: this.unusable, remarks: said, ...(unit === undefined ? {} : { unit }) }
  }

  #triangle(a: number, second: number, third: number): boolean {
    const b = this.#isMirrored ? third : second, c = this.#isMirrored ? second : third
    const from = this.#vertices
    if (this.#used + 9 > this.#corners.length) {
      if (this.#used / 9 >= MOST_TRIANGLES) return false
      const larger = new Float64Array(Math.min(this.#corners.length * 2, 9 * MOST_TRIANGLES))
      larger.set(this.#corners)
      this.#corners = larger
    }
    const to = this.#corners, at = this.#used
    let finite = true
    for (let k = 0; k < 3; k++) {
      // Adding 0 turns -0 into 0, so that equal corners are equal in every bit.
      const x = to[at + k] = from[3 * a + k] + 0, y = to[at + 3 + k] = from[3 * b + k] + 0, z = to[at + 6 + k] = from[3 * c + k] + 0
      if (!(Math.abs(x) <= LARGEST && Math.abs(y) <= LARGEST && Math.abs(z) <= LARGEST)) finite = false
    }
    if (finite) this.#used += 9
    else this.notFinite++
    return true
  }

  /** A corner from which every triangle of the fan faces as the polygon does; the first one where none is found. */
  #fanStart(indices: ArrayLike<number>, size: number): number {
    const normal = [0, 0, 0]
    for (let i = 1; i + 1 < size; i++) this.#addNormal(indices[0], indices[i], indices[i + 1], normal)
    const own = [0, 0, 0]
    for (let start = 0; start < Math.min(size, MOST_STARTS); start++) {
      let faces = true
      for (let i = 1; faces && i + 1 < size; i++) {
        own.fill(0)
        this.#addNormal(indices[start], indices[(start + i) % size], indices[(start + i + 1) % size], own)
        // A corner that is not a number is another fault, counted where the triangle is taken.
        if (own[0] * normal[0] + own[1] * normal[1] + own[2] * normal[2] < 0) faces = false
      }
      if (faces) return start
    }
    this.hollow++
    return 0
  }

  #addNormal(a: number, b: number, c: number, sum: number[]): void {
    const v = this.#vertices
    const ux = v[3 * b] - v[3 * a], uy = v[3 * b + 1] - v[3 * a + 1], uz = v[3 * b + 2] - v[3 * a + 2]
    const wx = v[3 * c] - v[3 * a], wy = v[3 * c + 1] - v[3 * a + 1], wz = v[3 * c + 2] - v[3 * a + 2]
    sum[0] += uy * wz - uz * wy
    sum[1] += uz * wx - ux * wz
    sum[2] += ux * wy - uy * wx
  }
}

function isIndex(value: number, end: number): boolean {
  return value >= 0 && value < end && Number.isInteger(value)
}

export const tooMany = `has more than the ${count(MOST_TRIANGLES)} facets that can be handled. Export the part with a coarser tolerance, or only the region that is cut.`
