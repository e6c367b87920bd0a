import type { Cancellation } from '../../../shared/cancellation.ts'
import type { GridFrame } from './grid-frame.ts'
import type { RayFamily } from './ray-family.ts'

/**
 * The stretch of every ray of a family within a distance of each triangle, as pairs by ray, mm from the
 * grid's origin; neighbours that overlap are joined as they come. A triangle grown by a ball is convex, so
 * that a ray meets it in one stretch: from the first to the last of where it passes the balls and
 * cylinders about corners and edges, and the two faces moved out. Ends early once cancelled.
 */
export function offsetStretches(family: RayFamily, { origin, pitch }: GridFrame, corners: Float64Array, offset: number, cancellation: Cancellation): (number[] | undefined)[] {
  const { axis, u, v, nu, nv } = family
  const found = new Array<number[] | undefined>(nu * nv).fill(undefined)
  const span = new GrownTriangle(offset)
  for (let at = 0; at < corners.length; at += 9) {
    const us = [corners[at + u], corners[at + 3 + u], corners[at + 6 + u]], vs = [corners[at + v], corners[at + 3 + v], corners[at + 6 + v]]
    const i0 = Math.max(0, Math.ceil((Math.min(...us) - offset - origin[u]) / pitch[u] - 0.5)), i1 = Math.min(nu - 1, Math.floor((Math.max(...us) + offset - origin[u]) / pitch[u] - 0.5))
    const j0 = Math.max(0, Math.ceil((Math.min(...vs) - offset - origin[v]) / pitch[v] - 0.5)), j1 = Math.min(nv - 1, Math.floor((Math.max(...vs) + offset - origin[v]) / pitch[v] - 0.5))
    span.take(corners, at, u, v, axis)
    for (let j = j0; j <= j1; j++) {
      if (cancellation.cancelled()) return found
      for (let i = i0; i <= i1; i++) {
        if (!span.meets(origin[u] + (i + 0.5) * pitch[u], origin[v] + (j + 0.5) * pitch[v])) continue
        const ray = i + j * nu, list = found[ray] ??= []
        add(list, span.low - origin[axis], span.high - origin[axis])
      }
    }
  }
  return found
}

/** Joins a stretch with those that it overlaps; most facets lie beside the one before. */
function add(list: number[], low: number, high: number): void {
  for (let at = list.length - 2; at >= 0; at -= 2) {
    if (low > list[at + 1] || high < list[at]) continue
    low = Math.min(low, list[at])
    high = Math.max(high, list[at + 1])
    list.splice(at, 2)
  }
  list.push(low, high)
}

/** A triangle grown by a ball against rays along w; (u, v, w) is a turn of (x, y, z). */
class GrownTriangle {
  low = 0
  high = 0
  readonly #offset: number
  /** u, v, w of the corners. */
  readonly #p = new Float64Array(9)
  // Unit normal.
  #nu = 0
  #nv = 0
  #nw = 0

  constructor(offset: number) {
    this.#offset = offset
  }

  take(corners: Float64Array, at: number, u: number, v: number, w: number): void {
    const p = this.#p
    for (let k = 0; k < 3; k++) {
      p[3 * k] = corners[at + 3 * k + u]
      p[3 * k + 1] = corners[at + 3 * k + v]
      p[3 * k + 2] = corners[at + 3 * k + w]
    }
    const ax = p[3] - p[0], ay = p[4] - p[1], az = p[5] - p[2], bx = p[6] - p[0], by = p[7] - p[1], bz = p[8] - p[2]
    const nx = ay * bz - az * by, ny = az * bx - ax * bz, nz = ax * by - ay * bx, size = Math.hypot(nx, ny, nz)
    this.#nu = size > 0 ? nx / size : 0
    this.#nv = size > 0 ? ny / size : 0
    this.#nw = size > 0 ? nz / size : 0
  }

  /** The stretch of the ray at (u, v); false where it passes by. */
  meets(u: number, v: number): boolean {
    this.low = Infinity
    this.high = -Infinity
    for (let k = 0; k < 3; k++) {
      this.#ball(u, v, 3 * k)
      this.#tube(u, v, 3 * k, 3 * ((k + 1) % 3))
    }
    if (this.#nw !== 0) {
      this.#face(u, v, this.#offset)
      this.#face(u, v, -this.#offset)
    }
    return this.low < this.high
  }

  #offer(w: number): void {
    if (w < this.low) this.low = w
    if (w > this.high) this.high = w
  }

  #ball(u: number, v: number, at: number): void {
    const p = this.#p, square = this.#offset ** 2 - (u - p[at]) ** 2 - (v - p[at + 1]) ** 2
    if (square < 0) return
    const half = Math.sqrt(square)
    this.#offer(p[at + 2] - half)
    this.#offer(p[at + 2] + half)
  }

  /** The cylinder about an edge, between its ends. */
  #tube(u: number, v: number, from: number, to: number): void {
    const p = this.#p
    const eu = p[to] - p[from], ev = p[to + 1] - p[from + 1], ew = p[to + 2] - p[from + 2], length2 = eu * eu + ev * ev + ew * ew
    const across2 = eu * eu + ev * ev
    // An edge along the ray adds nothing to the balls about its ends.
    if (across2 <= 1e-18) return
    const du = u - p[from], dv = v - p[from + 1]
    // With x = (du, dv, s): |x|² − (x · e)² / e² = offset².
    const along = du * eu + dv * ev
    const a = across2 / length2, b = along * ew / length2, c = du * du + dv * dv - along * along / length2 - this.#offset ** 2
    const root = b * b - a * c
    if (root < 0) return
    for (const sign of [-1, 1]) {
      const s = (b + sign * Math.sqrt(root)) / a, share = (along + s * ew) / length2
      if (share >= 0 && share <= 1) this.#offer(p[from + 2] + s)
    }
  }

  /** The triangle moved along its normal. */
  #face(u: number, v: number, by: number): void {
    const p = this.#p, du = u - by * this.#nu, dv = v - by * this.#nv
    const area = (p[3] - p[0]) * (p[7] - p[1]) - (p[4] - p[1]) * (p[6] - p[0])
    if (area === 0) return
    const wb = ((du - p[0]) * (p[7] - p[1]) - (dv - p[1]) * (p[6] - p[0])) / area, wc = ((p[3] - p[0]) * (dv - p[1]) - (p[4] - p[1]) * (du - p[0])) / area
    if (wb < 0 || wc < 0 || wb + wc > 1) return
    this.#offer(p[2] + wb * (p[5] - p[2]) + wc * (p[8] - p[2]) + by * this.#nw)
  }
}
