import { FacetCollector, tooMany } from './facet-collector.ts'
import type { MeshResult } from './mesh-facets.ts'
import { count } from './mesh-place.ts'
import { type PlyElement, type PlyHeader, type PlyType, plySize, readPlyHeader } from './ply-header.ts'
import { WordReader } from './word-reader.ts'

// PLY: a header that lists elements and their properties, then their values, as words or as bytes of
// either order. Corner numbers count from 0; there is no unit.

/** More than a mesh that can be handled has, were no corner shared. */
const MOST_CORNERS = 60_000_000

export function readPly(bytes: Uint8Array): MeshResult {
  const header = readPlyHeader(bytes)
  if ('failure' in header) return header
  const { elements } = header
  const vertex = elements.findIndex(({ name }) => name === 'vertex'), face = elements.findIndex(({ name }) => name === 'face')
  if (vertex < 0) return { failure: 'is a PLY file without corners ("element vertex"). Export the part again.' }
  if (face < 0) return { failure: 'is a PLY file without facets ("element face"): points alone have no surface. Export the part as a mesh.' }
  if (vertex > face) return { failure: 'lists its facets before its corners, which is not read. Export the part again.' }
  return new PlyReader(bytes, header).read()
}

class PlyReader {
  readonly #header: PlyHeader
  readonly #values: PlyValues
  readonly #collector = new FacetCollector()

  constructor(bytes: Uint8Array, header: PlyHeader) {
    this.#header = header
    this.#values = header.form === 'ascii' ? new TextValues(bytes, header.end) : new BinaryValues(bytes, header.end, header.form === 'little')
  }

  read(): MeshResult {
    for (const element of this.#header.elements) {
      if (element.properties.length === 0) continue
      if (element.count * this.#values.leastSize(element) > this.#values.left) return { failure: this.#cutShort(element) }
      const failure = element.name === 'vertex' ? this.#vertices(element) : element.name === 'face' ? this.#faces(element) : this.#skip(element)
      if (failure !== undefined) return { failure }
      // What stands behind the facets is not needed.
      if (element.name === 'face') break
    }
    return this.#collector.result()
  }

  #vertices(element: PlyElement): string | undefined {
    const places = ['x', 'y', 'z'].map(name => element.properties.findIndex(property => property.name === name && property.countType === undefined))
    const lacking = places.indexOf(-1)
    if (lacking >= 0) return `is a PLY file whose corners have no "${'xyz'[lacking]}". Export the part again.`
    if (element.count > MOST_CORNERS) return tooMany
    const vertices = new Float64Array(element.count * 3)
    for (let i = 0; i < element.count; i++) {
      for (let p = 0; p < element.properties.length; p++) {
        const { type, countType } = element.properties[p]
        if (countType !== undefined) {
          this.#skipList(type, countType)
          continue
        }
        const value = this.#values.take(type), k = places.indexOf(p)
        if (k >= 0) vertices[3 * i + k] = value
      }
      if (this.#values.fault !== undefined) return this.#faultIn(element)
    }
    this.#collector.use(vertices)
    return undefined
  }

  #faces(element: PlyElement): string | undefined {
    const list = element.properties.findIndex(({ name, countType }) => countType !== undefined && (name === 'vertex_indices' || name === 'vertex_index'))
    if (list < 0) return 'is a PLY file whose facets do not list their corners ("vertex_indices"). Export the part again.'
    let indices = new Float64Array(16)
    for (let i = 0; i < element.count; i++) {
      let size = 0
      for (let p = 0; p < element.properties.length; p++) {
        const { type, countType } = element.properties[p]
        if (p !== list || countType === undefined) {
          if (countType === undefined) this.#values.take(type)
          else this.#skipList(type, countType)
          continue
        }
        size = this.#listSize(type, countType)
        if (size > indices.length) indices = new Float64Array(size * 2)
        for (let n = 0; n < size; n++) indices[n] = this.#values.take(type)
      }
      if (this.#values.fault !== undefined) return this.#faultIn(element)
      if (!this.#collector.polygon(indices, size)) return tooMany
    }
    return undefined
  }

  #skip(element: PlyElement): string | undefined {
    for (let i = 0; i < element.count; i++) {
      for (const { type, countType } of element.properties) {
        if (countType === undefined) this.#values.take(type)
        else this.#skipList(type, countType)
      }
      if (this.#values.fault !== undefined) return this.#faultIn(element)
    }
    return undefined
  }

  #skipList(type: PlyType, countType: PlyType): void {
    const size = this.#listSize(type, countType)
    for (let n = 0; n < size; n++) this.#values.take(type)
  }

  /** How many values follow; none where the file cannot hold so many. */
  #listSize(type: PlyType, countType: PlyType): number {
    const values = this.#values, size = values.take(countType)
    if (values.fault !== undefined) return 0
    if (size >= 0 && Number.isInteger(size) && size * values.sizeOf(type) <= values.left + 1) return size
    values.fault = 'short'
    return 0
  }

  #faultIn(element: PlyElement): string {
    const { fault } = this.#values
    return fault === undefined || fault === 'short' ? this.#cutShort(element) : `cannot be read as PLY: ${fault} is not a number. Export the part again.`
  }

  #cutShort(element: PlyElement): string {
    const what = element.name === 'vertex' ? 'corners' : element.name === 'face' ? 'facets' : `entries of "${element.name}"`
    return `is cut short: its header says ${count(element.count)} ${what}, which are not all there. Copy or export the file again.`
  }
}

/** Values one after the other; after a fault they are 0. */
interface PlyValues {
  /** 'short' at the end of the file, or the word that is no number and its line. */
  fault: string | undefined
  take(type: PlyType): number
  /** Bytes left. */
  readonly left: number
  /** Least bytes of one value, and of one entry of an element. */
  sizeOf(type: PlyType): number
  leastSize(element: PlyElement): number
}

class TextValues implements PlyValues {
  fault: string | undefined
  readonly #words: WordReader

  constructor(bytes: Uint8Array, at: number) {
    this.#words = new WordReader(bytes, at)
  }

  get left(): number {
    return this.#words.bytes.length - this.#words.at
  }

  /** A digit and what parts it from the next. */
  sizeOf(): number {
    return 2
  }

  leastSize(element: PlyElement): number {
    return element.properties.length * 2 - 1
  }

  take(): number {
    if (this.fault !== undefined) return 0
    if (!this.#words.next()) {
      this.fault = 'short'
      return 0
    }
    const value = this.#words.number()
    if (value !== undefined) return value
    this.fault = `"${this.#words.word()}" on line ${this.#words.line()}`
    return 0
  }
}

class BinaryValues implements PlyValues {
  fault: string | undefined
  readonly #view: DataView
  readonly #little: boolean
  #at: number

  constructor(bytes: Uint8Array, at: number, little: boolean) {
    this.#view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
    this.#at = at
    this.#little = little
  }

  get left(): number {
    return this.#view.byteLength - this.#at
  }

  sizeOf(type: PlyType): number {
    return plySize[type]
  }

  leastSize(element: PlyElement): number {
    return element.properties.reduce((sum, { type, countType }) => sum + plySize[countType ?? type], 0)
  }

  take(type: PlyType): number {
    const at = this.#at, next = at + plySize[type]
    if (next > this.#view.byteLength) this.fault = 'short'
    if (this.fault !== undefined) return 0
    this.#at = next
    switch (type) {
      case 'int8': return this.#view.getInt8(at)
      case 'uint8': return this.#view.getUint8(at)
      case 'int16': return this.#view.getInt16(at, this.#little)
      case 'uint16': return this.#view.getUint16(at, this.#little)
      case 'int32': return this.#view.getInt32(at, this.#little)
      case 'uint32': return this.#view.getUint32(at, this.#little)
      case 'float32': return this.#view.getFloat32(at, this.#little)
      case 'float64': return this.#view.getFloat64(at, this.#little)
    }
  }
}
