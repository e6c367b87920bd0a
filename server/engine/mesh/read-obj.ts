import { FacetCollector, tooMany } from './facet-collector.ts'
import type { MeshResult } from './mesh-facets.ts'
import { count } from './mesh-place.ts'
import { WordReader } from './word-reader.ts'

// OBJ: a line of text a corner ("v x y z") and a facet ("f a b c", each maybe a/b/c with texture and
// normal). Corners count from 1, negative ones back from the last; there is no unit.

/** Lines that say nothing about the surface. */
const idle = ['vt', 'vn', 'g', 'o', 's', 'mg', 'usemtl', 'mtllib', 'usemap', 'maplib', 'l', 'p', 'lod', 'bevel', 'c_interp', 'd_interp', 'shadow_obj', 'trace_obj', '#'] as const

/** Surfaces that are not facets. */
const freeForm = ['vp', 'cstype', 'deg', 'bmat', 'step', 'curv', 'curv2', 'surf', 'parm', 'trim', 'hole', 'scrv', 'sp', 'end', 'con', 'ctech', 'stech', 'bzp', 'bsp', 'cdc', 'cdp', 'res', 'call', 'csh'] as const

export function readObj(bytes: Uint8Array): MeshResult {
  return new ObjReader(bytes).read()
}

class ObjReader {
  readonly #words: WordReader
  #vertices = new Float64Array(3 * 1024)
  #vertexCount = 0
  /** Corner numbers from 0, facet after facet, each after its size. */
  #facets = new Int32Array(4 * 1024)
  #used = 0
  #freeForm = 0
  #strange = 0
  #firstStrange = ''

  constructor(bytes: Uint8Array) {
    this.#words = new WordReader(bytes, bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf ? 3 : 0)
  }

  read(): MeshResult {
    const words = this.#words
    while (!words.isAtEnd) {
      if (words.nextInLine()) {
        const failure = words.is('v') ? this.#corner() : words.is('f') || words.is('fo') ? this.#facet() : this.#other()
        if (failure !== undefined) return { failure }
      }
      words.skipLine()
    }
    // A facet may name corners that come after it.
    const collector = new FacetCollector()
    collector.use(this.#vertices, this.#vertexCount)
    for (let at = 0; at < this.#used;) {
      const size = this.#facets[at++], f = this.#facets
      const fits = size === 3 ? collector.triangle(f[at], f[at + 1], f[at + 2]) : collector.polygon(f.subarray(at, at + size), size)
      if (!fits) return { failure: tooMany }
      at += size
    }
    const remarks: string[] = []
    if (this.#freeForm > 0) remarks.push('holds free-form curves or surfaces, which are left out. Nothing is checked where they are; export the part as triangles.')
    if (this.#strange > 0) remarks.push(`has ${this.#strange === 1 ? 'a line that is' : `${count(this.#strange)} lines that are`} not understood and left out, the first with ${this.#firstStrange}. If facets are missing, export the part again.`)
    return collector.result(undefined, remarks)
  }

  #corner(): string | undefined {
    if (3 * this.#vertexCount + 3 > this.#vertices.length) {
      const larger = new Float64Array(this.#vertices.length * 2)
      larger.set(this.#vertices)
      this.#vertices = larger
    }
    for (let k = 0; k < 3; k++) {
      if (!this.#words.nextInLine()) return `has a corner with fewer than three figures on line ${this.#words.line()}; it was cut short or is damaged. Copy or export the file again.`
      const value = this.#words.number()
      if (value === undefined) return this.#notNumber()
      this.#vertices[3 * this.#vertexCount + k] = value
    }
    this.#vertexCount++
    return undefined
  }

  #facet(): string | undefined {
    const words = this.#words, sizeAt = this.#used
    this.#push(0)
    let size = 0
    while (words.nextInLine()) {
      if (words.bytes[words.start] === 35) break
      const index = this.#index()
      if (index === undefined) return this.#notNumber()
      this.#push(index)
      size++
    }
    this.#facets[sizeAt] = size
    return undefined
  }

  /** Corner number from 0, -1 where there is none such; undefined where the word is none. Figures after a slash are left. */
  #index(): number | undefined {
    const { bytes, start, end } = this.#words
    const negative = bytes[start] === 45
    let at = negative || bytes[start] === 43 ? start + 1 : start, value = 0
    const first = at
    for (; at < end && bytes[at] >= 48 && bytes[at] <= 57; at++) value = Math.min(value * 10 + bytes[at] - 48, 0x7fffffff)
    if (at === first || (at < end && bytes[at] !== 47)) return undefined
    const index = negative ? this.#vertexCount - value : value - 1
    return value === 0 || index < 0 ? -1 : index
  }

  #other(): undefined {
    const words = this.#words
    if (words.bytes[words.start] === 35 || idle.some(word => words.is(word))) return undefined
    if (freeForm.some(word => words.is(word))) this.#freeForm++
    else if (this.#strange++ === 0) this.#firstStrange = `"${words.word()}" on line ${words.line()}`
    return undefined
  }

  #push(value: number): void {
    if (this.#used === this.#facets.length) {
      const larger = new Int32Array(this.#facets.length * 2)
      larger.set(this.#facets)
      this.#facets = larger
    }
    this.#facets[this.#used++] = value
  }

  #notNumber(): string {
    const word = this.#words.word()
    if (/^[+-]?\d+,\d+/.test(word)) return `writes its numbers with a comma ("${word}" on line ${this.#words.line()}); OBJ needs a decimal point. Export the part again with the point.`
    return `cannot be read as OBJ: "${word}" on line ${this.#words.line()} is not a number. Export the part again.`
  }
}
