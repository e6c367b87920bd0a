import type { GridFrame } from './grid-frame.ts'
import { rayInTile, type RayFamily } from './ray-family.ts'
import type { StockGrid } from './stock-grid.ts'

// The rays of the three families meet in a lattice of points: each point is on one ray of each. A point
// is material or not; between two neighbours that differ, the ray that joins them knows the place of the
// surface exactly. Each cell of the lattice that has both kinds of corners gets one vertex, in the mean of
// those places (surface nets: Gibson, Constrained elastic surface nets, MICCAI 1998), and each edge whose
// ends differ one face between the four cells about it. The surface is closed.

/** 9 numbers a triangle, counter-clockwise from outside; part frame, mm. `mostPoints`: of the lattice; above that it is taken every second, third … ray. */
export function stockSurface(grid: StockGrid, mostPoints: number): Float32Array {
  return new SurfaceNets(grid, mostPoints).triangles()
}

class SurfaceNets {
  readonly #frame: GridFrame
  readonly #families: readonly RayFamily[]
  readonly #step: number
  /** Lattice points along each axis, with an empty one beyond either end. */
  readonly #n: readonly [number, number, number]
  readonly #solid: Uint8Array
  /** Number of a cell's vertex, from 1; 0 where it has none. */
  readonly #vertex: Uint32Array
  readonly #places: number[] = []

  constructor(grid: StockGrid, mostPoints: number) {
    this.#frame = grid.frame
    this.#families = grid.families
    const [x, y, z] = grid.frame.counts
    this.#step = Math.max(1, Math.ceil(Math.cbrt(x * y * z / mostPoints) - 1e-9))
    const points = (count: number) => Math.ceil(count / this.#step) + 2
    this.#n = [points(x), points(y), points(z)]
    this.#solid = new Uint8Array(this.#n[0] * this.#n[1] * this.#n[2])
    this.#vertex = new Uint32Array(this.#solid.length)
    this.#fill()
  }

  triangles(): Float32Array {
    const [nx, ny, nz] = this.#n
    for (let k = 0; k < nz - 1; k++) for (let j = 0; j < ny - 1; j++) for (let i = 0; i < nx - 1; i++) this.#setVertex(i, j, k)
    const out: number[] = []
    for (let k = 1; k < nz - 1; k++) {
      for (let j = 1; j < ny - 1; j++) {
        for (let i = 1; i < nx - 1; i++) {
          if (this.#solid[this.#at(i, j, k)] === 0) continue
          for (let axis = 0; axis < 3; axis++) {
            this.#face(i, j, k, axis, 1, out)
            this.#face(i, j, k, axis, -1, out)
          }
        }
      }
    }
    return Float32Array.from(out)
  }

  #at(i: number, j: number, k: number): number {
    return i + this.#n[0] * (j + this.#n[1] * k)
  }

  /** Number of the ray through a lattice point; the points beyond the ends have none. */
  #ray(point: number): number {
    return (point - 1) * this.#step
  }

  #coordinate(axis: number, point: number): number {
    return this.#frame.origin[axis] + (this.#ray(point) + 0.5) * this.#frame.pitch[axis]
  }

  /** What is material, from the rays along Z. */
  #fill(): void {
    const [nx, ny, nz] = this.#n, family = this.#families[2]
    for (let j = 1; j < ny - 1; j++) {
      for (let i = 1; i < nx - 1; i++) {
        const ends = stretches(family, this.#ray(i), this.#ray(j))
        for (let e = 0; e < ends.length; e += 2) {
          const first = Math.max(1, Math.ceil((ends[e] / this.#frame.pitch[2] - 0.5) / this.#step) + 1)
          const last = Math.min(nz - 2, Math.floor((ends[e + 1] / this.#frame.pitch[2] - 0.5) / this.#step) + 1)
          for (let k = first; k <= last; k++) this.#solid[this.#at(i, j, k)] = 1
        }
      }
    }
  }

  #setVertex(i: number, j: number, k: number): void {
    let corners = 0
    for (let c = 0; c < 8; c++) corners += this.#solid[this.#at(i + (c & 1), j + (c >> 1 & 1), k + (c >> 2))]
    if (corners === 0 || corners === 8) return
    const sum = [0, 0, 0], at: [number, number, number] = [0, 0, 0]
    let crossings = 0
    for (let axis = 0; axis < 3; axis++) {
      const u = (axis + 1) % 3, v = (axis + 2) % 3
      for (let side = 0; side < 4; side++) {
        at[0] = i; at[1] = j; at[2] = k
        at[u] += side & 1
        at[v] += side >> 1
        const here = this.#solid[this.#at(...at)]
        at[axis]++
        if (this.#solid[this.#at(...at)] === here) continue
        at[axis]--
        crossings++
        sum[axis] += this.#crossing(axis, at)
        sum[u] += this.#coordinate(u, at[u])
        sum[v] += this.#coordinate(v, at[v])
      }
    }
    this.#places.push(sum[0] / crossings, sum[1] / crossings, sum[2] / crossings)
    this.#vertex[this.#at(i, j, k)] = this.#places.length / 3
  }

  /** Where the surface lies between a lattice point and the next along an axis: an end of the ray's material, else halfway. */
  #crossing(axis: number, point: readonly [number, number, number]): number {
    const { u, v } = this.#families[axis], low = this.#coordinate(axis, point[axis]), high = this.#coordinate(axis, point[axis] + 1)
    const origin = this.#frame.origin[axis]
    if (point[u] > 0 && point[v] > 0 && point[u] < this.#n[u] - 1 && point[v] < this.#n[v] - 1) {
      for (const end of stretches(this.#families[axis], this.#ray(point[u]), this.#ray(point[v]))) {
        if (end + origin >= low && end + origin <= high) return end + origin
      }
    }
    return (low + high) / 2
  }

  /** The face toward the neighbour on one side, where that is empty. */
  #face(i: number, j: number, k: number, axis: number, way: 1 | -1, out: number[]): void {
    const at: [number, number, number] = [i, j, k]
    at[axis] += way
    if (this.#solid[this.#at(...at)] !== 0) return
    const u = (axis + 1) % 3, v = (axis + 2) % 3
    const cells = [[0, 0], [1, 0], [1, 1], [0, 1]].map(([du, dv]) => {
      const cell: [number, number, number] = [i, j, k]
      cell[axis] -= way === 1 ? 0 : 1
      cell[u] -= 1 - du
      cell[v] -= 1 - dv
      return this.#vertex[this.#at(...cell)] - 1
    })
    const [a, b, c, d] = way === 1 ? cells : [cells[3], cells[2], cells[1], cells[0]]
    for (const vertex of [a, b, c, a, c, d]) out.push(this.#places[3 * vertex], this.#places[3 * vertex + 1], this.#places[3 * vertex + 2])
  }
}

/** Ends of the material on a ray, rising, mm from the grid's origin. */
export function stretches(family: RayFamily, i: number, j: number): Float32Array {
  const tile = family.tiles[family.tileOf(i, j)]
  if (tile === undefined) return empty
  const ray = rayInTile(i, j), first = ray * tile.slots * 2
  return tile.bounds.subarray(first, first + 2 * tile.counts[ray])
}

const empty = new Float32Array(0)
