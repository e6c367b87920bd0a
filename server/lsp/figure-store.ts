import type { ContactFigures } from '../engine/service.ts'

/**
 * The figures of one reading of a program as the search brings them, run by run and in any order.
 * What has not come yet is known as such: nothing is taken for clear that was not searched.
 */
export class FigureStore {
  readonly count: number
  readonly #value: Float64Array
  readonly #certified: Float64Array
  readonly #time: Float32Array
  readonly #point: Float32Array
  readonly #known: Uint8Array
  #done = 0
  #prefix = 0

  /** `count`: motions of the program. */
  constructor(count: number) {
    this.count = count
    this.#value = new Float64Array(count * 4)
    this.#certified = new Float64Array(count * 4)
    this.#time = new Float32Array(count * 4)
    this.#point = new Float32Array(count * 12)
    this.#known = new Uint8Array(count)
  }

  add(run: ContactFigures): void {
    const first = run.firstMotion
    this.#value.set(run.value, first * 4)
    this.#certified.set(run.certified, first * 4)
    this.#time.set(run.time, first * 4)
    this.#point.set(run.point, first * 12)
    for (let i = first; i < first + run.count; i++) {
      if (this.#known[i] === 0) this.#done++
      this.#known[i] = 1
    }
    while (this.#prefix < this.count && this.#known[this.#prefix] === 1) this.#prefix++
  }

  get done(): number {
    return this.#done
  }

  isKnown(motion: number): boolean {
    return this.#known[motion] === 1
  }

  /** The motions from the first up to the first gap, as one run: findings made of it only grow. */
  head(): ContactFigures {
    const count = this.#prefix
    return {
      firstMotion: 0,
      count,
      value: this.#value.subarray(0, count * 4),
      certified: this.#certified.subarray(0, count * 4),
      time: this.#time.subarray(0, count * 4),
      point: this.#point.subarray(0, count * 12),
    }
  }

  /** The figures of one motion; undefined where it has not been searched. */
  of(motion: number): { readonly value: Float64Array, readonly certified: Float64Array } | undefined {
    if (!this.isKnown(motion)) return undefined
    return { value: this.#value.subarray(motion * 4, motion * 4 + 4), certified: this.#certified.subarray(motion * 4, motion * 4 + 4) }
  }
}
