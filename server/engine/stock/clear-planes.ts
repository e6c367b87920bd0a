import type { SweepCell } from './sweep-cell.ts'
import type { SweptSection } from './swept-section.ts'

/** Planes kept; each new one then takes the place of the oldest. More clear a few rays more and cost all others time. */
const mostPlanes = 5

/** Numbers of one plane: three of its normal and a distance. */
const stride = 4

/**
 * Planes that a convex piece keeps behind during the time of one sweep cell. A ray of which all lies in front of
 * one plane, or of several each in its part, needs no closer look.
 *
 * With g a unit vector and X a place of the part, f ≥ g · u − support(g), and u = X − p + t w(X) with
 * w(X) = −(V + Ω × (X − p)): so over the times [−T, T] of the cell f is never below
 *
 *     g · (X − p) − support(g) − T |W(X)|,   W(X) = g · w(X) = −g · V + (Ω × g) · (X − p)
 *
 * Where W keeps its sign in the whole box of the cell that is a plane. Elsewhere W is small, and its largest
 * value in the box stands for it.
 */
export class ClearPlanes {
  /** The stretch that is asked about: its lower and its upper end, mm from place 0 of the ray. `clears` moves the ends in as far as they are clear. */
  readonly stretch = new Float64Array(2)
  /** The rays of a row that are asked about, by their numbers along u: the first, and the one after the last. `trims` moves them in. */
  readonly row = new Int32Array(2)
  readonly #planes = new Float64Array(mostPlanes * stride)
  #count = 0
  #next = 0
  /** The plane that has cleared a ray, or a row, last: the likeliest for its neighbour. */
  #lastRay = 0
  #lastRow = 0
  #cell: SweepCell | undefined
  #level = 0
  // Place of ray 0 of a row along u, and the distance of neighbours.
  #start = 0
  #pitch = 0

  /** Takes another cell in hand: all planes go. What stays above `level` is clear, mm. */
  begin(cell: SweepCell, level: number): void {
    this.#cell = cell
    this.#level = level
    this.#count = this.#next = this.#lastRay = this.#lastRow = 0
  }

  /** Where the rays of the next rows stand along u: the first of all, and how far apart. Part frame, mm. */
  setRows(start: number, pitch: number): void {
    this.#start = start
    this.#pitch = pitch
  }

  /**
   * Takes those rays off both ends of the row in hand of which the stretch in hand is clear; false where none is left.
   * `place`: place 0 of the rays along their axis and along v, part frame.
   */
  trims(place: Float64Array, u: number, v: number, axis: number): boolean {
    const planes = this.#planes, { stretch, row } = this, low = place[axis] + stretch[0], high = place[axis] + stretch[1], across = place[v]
    let first = row[0], last = row[1] - 1, k = this.#lastRow
    for (let n = this.#count; n > 0; n--) {
      const at = k * stride, du = planes[at + u], ds = planes[at + axis]
      const f = planes[at + 3] + planes[at + v] * across + (ds > 0 ? ds * low : ds * high) + du * this.#start
      const atFirst = f + du * (first * this.#pitch), atLast = f + du * (last * this.#pitch)
      if (atFirst > 0) {
        if (atLast > 0) {
          this.#lastRow = k
          return false
        }
        first += Math.ceil((last - first) * (atFirst / (atFirst - atLast)))
      } else if (atLast > 0) last -= Math.ceil((last - first) * (atLast / (atLast - atFirst)))
      k++
      if (k === this.#count) k = 0
    }
    row[0] = first
    row[1] = last + 1
    return first <= last
  }

  /** Whether the piece comes nowhere on the stretch in hand to the level or below. `place`: place 0 of the ray, part frame. */
  clears(place: Float64Array, axis: number): boolean {
    const planes = this.#planes, stretch = this.stretch, x = place[0], y = place[1], z = place[2]
    let low = stretch[0], high = stretch[1], k = this.#lastRay
    for (let n = this.#count; n > 0; n--) {
      const at = k * stride, f = planes[at + 3] + planes[at] * x + planes[at + 1] * y + planes[at + 2] * z, df = planes[at + axis]
      const atLow = f + df * low, atHigh = f + df * high
      if (atLow > 0) {
        if (atHigh > 0) {
          this.#lastRay = k
          return true
        }
        low += (high - low) * (atLow / (atLow - atHigh))
      } else if (atHigh > 0) high -= (high - low) * (atHigh / (atHigh - atLow))
      k++
      if (k === this.#count) k = 0
    }
    stretch[0] = low
    stretch[1] = high
    return false
  }

  /** Adds the plane that touches the piece nearest to the place that a section has looked at last. */
  add(section: SweptSection): void {
    const cell = this.#cell, planes = this.#planes, at = this.#next * stride
    if (cell === undefined) return
    section.support(planes, at)
    const gx = planes[at], gy = planes[at + 1], gz = planes[at + 2], { low, high, half } = cell
    const nx = cell.wy * gz - cell.wz * gy, ny = cell.wz * gx - cell.wx * gz, nz = cell.wx * gy - cell.wy * gx
    // W in the middle of the cell's box, and how far it goes from that in the box.
    const middle = nx * ((low[0] + high[0]) / 2 - cell.px) + ny * ((low[1] + high[1]) / 2 - cell.py) + nz * ((low[2] + high[2]) / 2 - cell.pz) - gx * cell.vx - gy * cell.vy - gz * cell.vz
    const reach = (Math.abs(nx) * (high[0] - low[0]) + Math.abs(ny) * (high[1] - low[1]) + Math.abs(nz) * (high[2] - low[2])) / 2
    planes[at + 3] -= gx * cell.px + gy * cell.py + gz * cell.pz + this.#level
    if (Math.abs(middle) > reach) {
      const time = middle > 0 ? half : -half
      planes[at] -= time * nx
      planes[at + 1] -= time * ny
      planes[at + 2] -= time * nz
      planes[at + 3] += time * (gx * cell.vx + gy * cell.vy + gz * cell.vz + nx * cell.px + ny * cell.py + nz * cell.pz)
    } else planes[at + 3] -= half * (Math.abs(middle) + reach)
    this.#lastRay = this.#lastRow = this.#next
    this.#next = (this.#next + 1) % mostPlanes
    this.#count = Math.min(mostPlanes, this.#count + 1)
  }
}
