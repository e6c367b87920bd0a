import { SegmentTriangle } from '../geometry/segment-triangle.ts'

/** The closest points of two triangles in one frame. Fields hold the last answer; mm. */
export class TrianglePair {
  distance = 0
  /** On the first and on the second triangle. */
  readonly first = new Float64Array(3)
  readonly second = new Float64Array(3)
  readonly #pair = new SegmentTriangle()

  /**
   * Nine numbers each, from `a` and from `b`. Triangles that cross are crossed by an edge of one of
   * them; else the closest points lie on an edge of one: edges against triangles say it all.
   */
  measure(one: Float64Array, a: number, other: Float64Array, b: number): void {
    this.distance = Infinity
    for (let k = 0; k < 9 && this.distance > 0; k += 3) {
      this.#edge(one, a + k, a + (k + 3) % 9, other, b, this.first, this.second)
      this.#edge(other, b + k, b + (k + 3) % 9, one, a, this.second, this.first)
    }
  }

  #edge(c: Float64Array, from: number, to: number, triangle: Float64Array, at: number, onEdge: Float64Array, onTriangle: Float64Array): void {
    const x = c[from], y = c[from + 1], z = c[from + 2]
    const dx = c[to] - x, dy = c[to + 1] - y, dz = c[to + 2] - z
    const pair = this.#pair
    pair.closest(triangle, at, x, y, z, dx, dy, dz)
    const ex = x + pair.s * dx, ey = y + pair.s * dy, ez = z + pair.s * dz
    const distance = Math.hypot(ex - pair.x, ey - pair.y, ez - pair.z)
    if (distance >= this.distance) return
    // A crossing is found in float64: what is left of it is rounding.
    this.distance = distance < 1e-9 ? 0 : distance
    onEdge[0] = ex
    onEdge[1] = ey
    onEdge[2] = ez
    onTriangle[0] = pair.x
    onTriangle[1] = pair.y
    onTriangle[2] = pair.z
  }
}
