/** Where the tests take their randomness from; print `seed` in the test's name so that a failure can be replayed. */
export class SeededRandom {
  readonly seed: number
  #state: number

  constructor(seed: number) {
    this.seed = seed
    this.#state = seed >>> 0
  }

  /** Evenly in [0, 1): the mulberry32 generator, 32 bits of state. */
  next(): number {
    this.#state = (this.#state + 0x6d2b79f5) >>> 0
    let t = this.#state
    t = Math.imul(t ^ (t >>> 15), t | 1)
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }

  between(low: number, high: number): number {
    return low + (high - low) * this.next()
  }

  /** A whole number in [low, high], both ends included. */
  whole(low: number, high: number): number {
    return low + Math.floor(this.next() * (high - low + 1))
  }

  pick<T>(list: readonly T[]): T {
    return list[this.whole(0, list.length - 1)]
  }

  /** A unit vector, evenly on the sphere (Archimedes: height and longitude are even). */
  direction(): [number, number, number] {
    const z = this.between(-1, 1), angle = this.between(0, 2 * Math.PI), r = Math.sqrt(1 - z * z)
    return [r * Math.cos(angle), r * Math.sin(angle), z]
  }
}
