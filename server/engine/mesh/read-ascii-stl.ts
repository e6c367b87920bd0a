import type { MeshResult } from './mesh-facets.ts'
import { count, MOST_TRIANGLES } from './mesh-place.ts'

// The text form: words between white space, in any case and layout.
//   solid NAME  { facet normal nx ny nz  outer loop  vertex x y z (three times)  endloop  endfacet }  endsolid NAME
// One pass over the bytes, no text is made of a number unless it has more digits than fit a double.

export function readAsciiStl(bytes: Uint8Array): MeshResult {
  const reader = new AsciiReader(bytes)
  return reader.read()
}

class AsciiReader {
  readonly #bytes: Uint8Array
  #at = 0
  /** The word last read: [start, end). */
  #start = 0
  #end = 0
  #corners = new Float64Array(9 * 1024)
  #used = 0
  #notFinite = 0

  constructor(bytes: Uint8Array) {
    this.#bytes = bytes
    if (bytes[0] === 0xef) this.#at = 3
  }

  read(): MeshResult {
    let closed = false
    while (this.#nextWord()) {
      if (this.#is('solid')) {
        closed = false
        this.#skipName()
      } else if (this.#is('endsolid')) {
        closed = true
        this.#skipName()
      } else if (this.#is('facet')) {
        const failure = this.#facet()
        if (failure !== undefined) return { failure }
      } else return { failure: this.#unexpected('facet') }
      if (this.#used / 9 > MOST_TRIANGLES) return { failure: `has more than the ${count(MOST_TRIANGLES)} facets that can be handled. Export the part with a coarser tolerance, or only the region that is cut.` }
    }
    const corners = this.#corners.slice(0, this.#used)
    if (closed || corners.length === 0) return { corners, notFinite: this.#notFinite }
    return { corners, notFinite: this.#notFinite, remarks: ['does not end with "endsolid": it may have been cut short. If facets are missing, export the part again.'] }
  }

  /** From behind the word `facet` to its `endfacet`; what is wrong, or nothing. */
  #facet(): string | undefined {
    if (!this.#nextWord()) return this.#cutShort()
    if (this.#is('normal')) {
      // The normal's own figures are often rubbish and are not needed.
      for (let i = 0; i < 3; i++) if (!this.#nextWord()) return this.#cutShort()
      if (!this.#nextWord()) return this.#cutShort()
    }
    if (!this.#is('outer')) return this.#unexpected('outer loop')
    if (!this.#nextWord()) return this.#cutShort()
    if (!this.#is('loop')) return this.#unexpected('loop')
    if (this.#used + 9 > this.#corners.length) {
      const larger = new Float64Array(this.#corners.length * 2)
      larger.set(this.#corners)
      this.#corners = larger
    }
    let finite = true
    for (let corner = 0; corner < 3; corner++) {
      if (!this.#nextWord()) return this.#cutShort()
      if (!this.#is('vertex')) return this.#unexpected('vertex')
      for (let k = 0; k < 3; k++) {
        if (!this.#nextWord()) return this.#cutShort()
        const value = numberAt(this.#bytes, this.#start, this.#end)
        if (value === undefined) return this.#notNumber()
        this.#corners[this.#used + 3 * corner + k] = value
        if (!(Math.abs(value) <= LARGEST)) finite = false
      }
    }
    if (!this.#nextWord()) return this.#cutShort()
    if (this.#is('vertex')) return `has a facet with more than three corners on line ${this.#line()}; STL facets are triangles. Export the part again.`
    if (!this.#is('endloop')) return this.#unexpected('endloop')
    if (!this.#nextWord()) return this.#cutShort()
    if (!this.#is('endfacet')) return this.#unexpected('endfacet')
    if (finite) this.#used += 9
    else this.#notFinite++
    return undefined
  }

  #nextWord(): boolean {
    const bytes = this.#bytes, length = bytes.length
    let at = this.#at
    while (at < length && bytes[at] <= 32) at++
    this.#start = at
    while (at < length && bytes[at] > 32) at++
    this.#end = this.#at = at
    return at > this.#start
  }

  /** Passes over a name: to the end of the line, or to a facet, since the whole file may stand on one line. */
  #skipName(): void {
    const bytes = this.#bytes
    for (;;) {
      while (this.#at < bytes.length && bytes[this.#at] <= 32) {
        if (bytes[this.#at] === 10 || bytes[this.#at] === 13) return
        this.#at++
      }
      const word = this.#at
      if (!this.#nextWord()) return
      if (!this.#is('facet')) continue
      if (this.#nextWord() && this.#is('normal')) {
        this.#at = word
        return
      }
      this.#at = word + 5
    }
  }

  #is(word: string): boolean {
    if (this.#end - this.#start !== word.length) return false
    for (let i = 0; i < word.length; i++) if ((this.#bytes[this.#start + i] | 32) !== word.charCodeAt(i)) return false
    return true
  }

  #word(): string {
    const text = String.fromCharCode(...this.#bytes.subarray(this.#start, Math.min(this.#end, this.#start + 24)))
    return text.replace(/[^\u0020-\u007e]/g, '?')
  }

  #line(): number {
    let line = 1
    for (let i = 0; i < this.#start; i++) if (this.#bytes[i] === 10) line++
    return line
  }

  #unexpected(wanted: string): string {
    if (this.#end === this.#bytes.length && wanted.startsWith(this.#word().toLowerCase())) return this.#cutShort()
    return `cannot be read as text STL: "${this.#word()}" on line ${this.#line()} where "${wanted}" belongs. It is another kind of file or damaged; export the part again as STL.`
  }

  #notNumber(): string {
    const word = this.#word()
    if (/^[+-]?\d+,\d+/.test(word)) return `writes its numbers with a comma ("${word}" on line ${this.#line()}); STL needs a decimal point. Export the part again with the point, or as binary STL.`
    return `cannot be read as text STL: "${word}" on line ${this.#line()} is not a number. Export the part again.`
  }

  #cutShort(): string {
    return `ends in the middle of a facet on line ${this.#line()}: it was cut short. Copy or export the file again.`
  }
}

/** The largest figure of the binary form; beyond it a coordinate is as good as infinite. */
const LARGEST = 3.4028235e38

/** Powers of ten that a double holds exactly. */
const TENS = Float64Array.from({ length: 23 }, (_, i) => Number(`1e${i}`))

/**
 * The number written in bytes [start, end); NaN or infinite where it says so; undefined where it is
 * none. Up to 15 digits and a power of ten up to 22 are exact in a double, so that one product or
 * quotient rounds right (Clinger 1990); the rest goes the slow way.
 */
export function numberAt(bytes: Uint8Array, start: number, end: number): number | undefined {
  let at = start
  const sign = bytes[at] === 45 ? -1 : 1
  if (bytes[at] === 45 || bytes[at] === 43) at++
  let mantissa = 0, digits = 0, shift = 0, seen = 0
  for (; at < end && bytes[at] >= 48 && bytes[at] <= 57; at++, seen++) {
    mantissa = mantissa * 10 + bytes[at] - 48
    if (mantissa > 0) digits++
  }
  if (at < end && bytes[at] === 46) {
    for (at++; at < end && bytes[at] >= 48 && bytes[at] <= 57; at++, seen++) {
      mantissa = mantissa * 10 + bytes[at] - 48
      if (mantissa > 0) digits++
      shift--
    }
  }
  if (seen === 0) return notFinite(bytes, start, end)
  if (at < end && (bytes[at] | 32) === 101) {
    at++
    const down = bytes[at] === 45
    if (down || bytes[at] === 43) at++
    let power = 0
    const first = at
    for (; at < end && bytes[at] >= 48 && bytes[at] <= 57; at++) power = Math.min(power * 10 + bytes[at] - 48, 9999)
    if (at === first) return undefined
    shift += down ? -power : power
  }
  if (at < end) return notFinite(bytes, start, end)
  if (digits <= 15 && shift >= -22 && shift <= 22) return sign * (shift < 0 ? mantissa / TENS[-shift] : mantissa * TENS[shift]) + 0
  return Number(String.fromCharCode(...bytes.subarray(start, Math.min(end, start + 400)))) + 0
}

/** The spellings of not-a-number and infinity that exporters write: nan, -nan(ind), inf, 1.#QNAN. */
function notFinite(bytes: Uint8Array, start: number, end: number): number | undefined {
  const word = String.fromCharCode(...bytes.subarray(start, Math.min(end, start + 16)))
  return /^[+-]?(nan|inf|1\.#)/i.test(word) ? NaN : undefined
}
