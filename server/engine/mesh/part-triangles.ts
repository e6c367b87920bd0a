// The uppermost levels of a large tree: triangles halved at the middle one along their longest way, so that threads can
// sort a part each.

/** The place from which part number `part` of so many lies. */
export function firstOfPart(part: number, parts: number, count: number): number {
  return Math.floor(part * count / parts)
}

/** Parts triangles given as 9 numbers each into `parts` of equal size, a power of two. Answers their numbers, part after part. */
export function partTriangles(source: Float64Array, parts: number): Uint32Array {
  const count = source.length / 9, order = new Uint32Array(count)
  for (let i = 0; i < count; i++) order[i] = i
  if (parts === 1) return order
  const halver = new Halver(source, order)
  for (let halves = 2; halves <= parts; halves *= 2) {
    for (let half = 0; half < halves; half += 2) {
      halver.halve(firstOfPart(half, halves, count), firstOfPart(half + 1, halves, count), firstOfPart(half + 2, halves, count))
    }
  }
  return order
}

class Halver {
  readonly #source: Float64Array
  readonly #order: Uint32Array
  /** Sum of the corners along the way on which triangles are halved, in their order. */
  readonly #keys: Float64Array

  constructor(source: Float64Array, order: Uint32Array) {
    this.#source = source
    this.#order = order
    this.#keys = new Float64Array(order.length)
  }

  /** Puts those of the triangles from `first` to before `end` that come first along their longest way before `middle`. */
  halve(first: number, middle: number, end: number): void {
    const order = this.#order, keys = this.#keys, axis = this.#longest(first, end)
    for (let i = first; i < end; i++) keys[i] = this.#place(order[i], axis)
    // Hoare's selection: what lies from `low` to `high` still holds the place where the halves meet.
    let low = first, high = end - 1
    while (low < high) {
      const pivot = keys[(low + high) >> 1]
      let i = low, j = high
      while (i <= j) {
        while (keys[i] < pivot) i++
        while (keys[j] > pivot) j--
        if (i > j) break
        const key = keys[i], triangle = order[i]
        keys[i] = keys[j]
        order[i++] = order[j]
        keys[j] = key
        order[j--] = triangle
      }
      if (middle <= j) high = j
      else if (middle >= i) low = i
      else return
    }
  }

  /** The axis along which the middles of the triangles lie farthest apart. */
  #longest(first: number, end: number): number {
    const extents = [0, 1, 2].map(axis => {
      let low = Infinity, high = -Infinity
      for (let i = first; i < end; i++) {
        const place = this.#place(this.#order[i], axis)
        if (place < low) low = place
        if (place > high) high = place
      }
      return high - low
    })
    return extents.indexOf(Math.max(...extents))
  }

  #place(triangle: number, axis: number): number {
    const source = this.#source, at = triangle * 9 + axis
    return source[at] + source[at + 3] + source[at + 6]
  }
}
