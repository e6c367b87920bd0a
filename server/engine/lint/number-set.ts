/** Numbers in one page. */
const PAGE = 4096

/** A set of whole numbers in pages of bits: those of a million blocks are dense. A copy shares the pages that neither side changes. */
export class NumberSet {
  readonly #pages: Map<number, Uint32Array>
  /** Pages that no copy shares. */
  readonly #own = new Set<number>()

  constructor(from?: NumberSet) {
    this.#pages = new Map(from === undefined ? [] : from.#pages)
    // Those who were copied must not change what the copy has.
    if (from !== undefined) from.#own.clear()
  }

  has(number: number): boolean {
    const page = this.#pages.get(Math.floor(number / PAGE)), at = number % PAGE
    return page !== undefined && ((page[at >> 5] ?? 0) >>> (at & 31) & 1) === 1
  }

  add(number: number): void {
    const page = this.#pageOf(number), at = number % PAGE
    page[at >> 5] = (page[at >> 5] ?? 0) | 1 << (at & 31)
  }

  delete(number: number): void {
    const page = this.#pageOf(number), at = number % PAGE
    page[at >> 5] = (page[at >> 5] ?? 0) & ~(1 << (at & 31))
  }

  #pageOf(number: number): Uint32Array {
    const key = Math.floor(number / PAGE), page = this.#pages.get(key)
    if (page !== undefined && this.#own.has(key)) return page
    const own = page?.slice() ?? new Uint32Array(PAGE / 32)
    this.#pages.set(key, own)
    this.#own.add(key)
    return own
  }
}
