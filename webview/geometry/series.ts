/** How many values of one level a value of the next one stands for. */
const FACTOR = 16

/**
 * A figure of each motion, from which the least and greatest of any run can be had at once: a strip of a million blocks
 * is drawn from a thousand pairs. NaN: not known, and left out.
 */
export class Series {
  readonly values: Float32Array
  /** Least and greatest of FACTOR values each, of FACTOR of these, and so on. */
  readonly #least: Float32Array[] = []
  readonly #greatest: Float32Array[] = []

  constructor(values: Float32Array) {
    this.values = values
    let least = values, greatest = values
    while (least.length > FACTOR) {
      const count = Math.ceil(least.length / FACTOR)
      const nextLeast = new Float32Array(count), nextGreatest = new Float32Array(count)
      for (let group = 0; group < count; group++) {
        let low = NaN, high = NaN
        for (let i = group * FACTOR, end = Math.min(least.length, i + FACTOR); i < end; i++) {
          if (!(least[i] >= low) && !Number.isNaN(least[i])) low = least[i]
          if (!(greatest[i] <= high) && !Number.isNaN(greatest[i])) high = greatest[i]
        }
        nextLeast[group] = low
        nextGreatest[group] = high
      }
      this.#least.push(nextLeast)
      this.#greatest.push(nextGreatest)
      least = nextLeast
      greatest = nextGreatest
    }
  }

  /** Least and greatest value of the motions [first, last]; undefined where none is known. */
  extent(first: number, last: number): readonly [number, number] | undefined {
    let low = Infinity, high = -Infinity, found = false
    const take = (least: Float32Array, greatest: Float32Array, i: number) => {
      if (Number.isNaN(least[i])) return
      found = true
      if (least[i] < low) low = least[i]
      if (greatest[i] > high) high = greatest[i]
    }
    let from = Math.max(0, first), to = Math.min(this.values.length - 1, last)
    let least = this.values, greatest = this.values
    for (let level = 0; from <= to; level++) {
      const isLast = level === this.#least.length
      // What does not fill a group at either end is taken here, the middle from the level above.
      while (from <= to && (isLast || from % FACTOR !== 0)) take(least, greatest, from++)
      while (from <= to && to % FACTOR !== FACTOR - 1) take(least, greatest, to--)
      if (isLast || from > to) break
      from /= FACTOR
      to = (to - FACTOR + 1) / FACTOR
      least = this.#least[level]
      greatest = this.#greatest[level]
    }
    return found ? [low, high] : undefined
  }
}
