/** Corners of a triangle at the first and the last moment of a time cell. */
const VERTICES = 6

/**
 * The least value, over a triangle and a time interval, of the greater of two affine functions, and
 * where it is taken. Where f has a ridge (the edge of a flat cutter inside the material, the axis of
 * a drill's point) one tangent says nothing of what lies behind the ridge; two do:
 *   min max(A, B) = max over λ in [0, 1] of min over the vertices of λA + (1 − λ)B
 * by linear programming duality. The minimum over the vertices is a concave broken line in λ.
 */
export class TwoTangents {
  /** A and B at the vertices: corner k at the first moment in k, at the last in 3 + k. */
  readonly a = new Float64Array(VERTICES)
  readonly b = new Float64Array(VERTICES)
  /** The two vertices between which the least value is taken, and the share of the first. */
  first = 0
  second = 0
  share = 1

  /** The least value. */
  least(): number {
    let low = 0, high = 1
    let left = this.#lowest(low), right = this.#lowest(high)
    if (this.#rise(left) <= 0) return this.#take(left, left, 1, low)
    if (this.#rise(right) >= 0) return this.#take(right, right, 1, high)
    // The broken line rises at `low` and falls at `high`: its top is between their lines' crossing and nowhere else.
    for (let step = 0; step < 2 * VERTICES; step++) {
      const rise = this.#rise(left), fall = this.#rise(right)
      const crossing = Math.min(high, Math.max(low, (this.b[right] - this.b[left]) / (rise - fall)))
      const lowest = this.#lowest(crossing)
      const at = this.b[lowest] + crossing * this.#rise(lowest)
      if (lowest === left || lowest === right || at >= this.b[left] + crossing * rise - 1e-15) {
        return this.#take(left, right, -fall / (rise - fall), crossing)
      }
      if (this.#rise(lowest) > 0) {
        left = lowest
        low = crossing
      } else {
        right = lowest
        high = crossing
      }
    }
    return this.#take(left, right, 0.5, (low + high) / 2)
  }

  #take(first: number, second: number, share: number, lambda: number): number {
    this.first = first
    this.second = second
    this.share = share
    const lowest = this.#lowest(lambda)
    return this.b[lowest] + lambda * this.#rise(lowest)
  }

  #rise(vertex: number): number {
    return this.a[vertex] - this.b[vertex]
  }

  #lowest(lambda: number): number {
    let best = Infinity, at = 0
    for (let i = 0; i < VERTICES; i++) {
      const value = lambda * this.a[i] + (1 - lambda) * this.b[i]
      if (value >= best) continue
      best = value
      at = i
    }
    return at
  }
}
