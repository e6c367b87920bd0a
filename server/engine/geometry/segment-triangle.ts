/**
 * The closest pair of a segment and a triangle. Fields hold the last answer: the point of the
 * triangle and the place s in [0, 1] along the segment. mm, any frame.
 *
 * The minimum of two convex sets' distance is attained inside both (they cross), at an end of the
 * segment, or between the segment and an edge: those candidates are compared (Ericson, *Real-Time
 * Collision Detection*, 2005, sections 5.1.5, 5.1.9, 5.1.10). Degenerate triangles and segments
 * are answered by the same candidates.
 */
export class SegmentTriangle {
  x = 0
  y = 0
  z = 0
  s = 0
  #best = Infinity

  /** `c`: 9 numbers of the triangle from `at`; the segment runs from p by the vector d. */
  closest(c: Float64Array, at: number, px: number, py: number, pz: number, dx: number, dy: number, dz: number): void {
    this.#best = Infinity
    const length2 = dx * dx + dy * dy + dz * dz
    this.#point(c, at, px, py, pz, 0)
    if (length2 < 1e-18) return
    this.#point(c, at, px + dx, py + dy, pz + dz, 1)
    this.#edge(c, at, at + 3, px, py, pz, dx, dy, dz, length2)
    this.#edge(c, at + 3, at + 6, px, py, pz, dx, dy, dz, length2)
    this.#edge(c, at + 6, at, px, py, pz, dx, dy, dz, length2)
    this.#crossing(c, at, px, py, pz, dx, dy, dz)
  }

  #offer(x: number, y: number, z: number, s: number, square: number): void {
    if (square >= this.#best) return
    this.#best = square
    this.x = x
    this.y = y
    this.z = z
    this.s = s
  }

  /** Closest point of the triangle to a point, by the regions of its corners, edges and face. */
  #point(c: Float64Array, at: number, px: number, py: number, pz: number, s: number): void {
    const ax = c[at], ay = c[at + 1], az = c[at + 2]
    const ux = c[at + 3] - ax, uy = c[at + 4] - ay, uz = c[at + 5] - az
    const wx = c[at + 6] - ax, wy = c[at + 7] - ay, wz = c[at + 8] - az
    const qx = px - ax, qy = py - ay, qz = pz - az
    const d1 = ux * qx + uy * qy + uz * qz, d2 = wx * qx + wy * qy + wz * qz
    let v: number, w: number
    if (d1 <= 0 && d2 <= 0) {
      v = 0; w = 0
    } else {
      const uu = ux * ux + uy * uy + uz * uz, uw = ux * wx + uy * wy + uz * wz, ww = wx * wx + wy * wy + wz * wz
      const d3 = d1 - uu, d4 = d2 - uw, d5 = d1 - uw, d6 = d2 - ww
      if (d3 >= 0 && d4 <= d3) {
        v = 1; w = 0
      } else if (d6 >= 0 && d5 <= d6) {
        v = 0; w = 1
      } else {
        const vc = d1 * d4 - d3 * d2, vb = d5 * d2 - d1 * d6, va = d3 * d6 - d5 * d4
        if (vc <= 0 && d1 >= 0 && d3 <= 0) {
          v = d1 / (d1 - d3); w = 0
        } else if (vb <= 0 && d2 >= 0 && d6 <= 0) {
          v = 0; w = d2 / (d2 - d6)
        } else if (va <= 0 && d4 - d3 >= 0 && d5 - d6 >= 0) {
          w = (d4 - d3) / (d4 - d3 + d5 - d6)
          v = 1 - w
        } else {
          const sum = va + vb + vc
          v = sum > 0 ? vb / sum : 0
          w = sum > 0 ? vc / sum : 0
        }
      }
    }
    const x = ax + v * ux + w * wx, y = ay + v * uy + w * wy, z = az + v * uz + w * wz
    this.#offer(x, y, z, s, (x - px) ** 2 + (y - py) ** 2 + (z - pz) ** 2)
  }

  #edge(c: Float64Array, from: number, to: number, px: number, py: number, pz: number, dx: number, dy: number, dz: number, a: number): void {
    const ex = c[to] - c[from], ey = c[to + 1] - c[from + 1], ez = c[to + 2] - c[from + 2]
    const rx = px - c[from], ry = py - c[from + 1], rz = pz - c[from + 2]
    const e = ex * ex + ey * ey + ez * ez, b = dx * ex + dy * ey + dz * ez
    const denominator = a * e - b * b
    // Parallel lines: the ends, which are candidates already, serve as well.
    if (denominator <= 1e-14 * a * e) return
    const cc = dx * rx + dy * ry + dz * rz, f = ex * rx + ey * ry + ez * rz
    const s = (b * f - cc * e) / denominator
    const t = (a * f - b * cc) / denominator
    // Beyond an end of the segment, beside the edge: the end is a candidate already.
    if ((s < 0 || s > 1) && t >= 0 && t <= 1) return
    const u = t < 0 ? 0 : t > 1 ? 1 : t
    // With the edge's end clamped the segment's place must be found anew.
    let place = u === t ? s : (u * b - cc) / a
    place = place < 0 ? 0 : place > 1 ? 1 : place
    const x = c[from] + u * ex, y = c[from + 1] + u * ey, z = c[from + 2] + u * ez
    const gx = px + place * dx - x, gy = py + place * dy - y, gz = pz + place * dz - z
    this.#offer(x, y, z, place, gx * gx + gy * gy + gz * gz)
  }

  #crossing(c: Float64Array, at: number, px: number, py: number, pz: number, dx: number, dy: number, dz: number): void {
    const ax = c[at], ay = c[at + 1], az = c[at + 2]
    const ux = c[at + 3] - ax, uy = c[at + 4] - ay, uz = c[at + 5] - az
    const wx = c[at + 6] - ax, wy = c[at + 7] - ay, wz = c[at + 8] - az
    const hx = dy * wz - dz * wy, hy = dz * wx - dx * wz, hz = dx * wy - dy * wx
    const determinant = ux * hx + uy * hy + uz * hz
    if (determinant === 0) return
    const qx = px - ax, qy = py - ay, qz = pz - az
    const v = (qx * hx + qy * hy + qz * hz) / determinant
    if (!(v >= 0 && v <= 1)) return
    const kx = qy * uz - qz * uy, ky = qz * ux - qx * uz, kz = qx * uy - qy * ux
    const w = (dx * kx + dy * ky + dz * kz) / determinant
    if (!(w >= 0 && v + w <= 1)) return
    const s = (wx * kx + wy * ky + wz * kz) / determinant
    if (!(s >= 0 && s <= 1)) return
    this.#offer(ax + v * ux + w * wx, ay + v * uy + w * wy, az + v * uz + w * wz, s, 0)
  }
}
