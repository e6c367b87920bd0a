import { indexOf, type Json, listOf, recordOf, textIn } from './gltf-json.ts'
import { Unreadable } from './unreadable.ts'

// Figures of a glTF file: an accessor looks into a view of a buffer, which is part of the file or
// written in its JSON.

/** Bytes of a component by its number, and what a whole one stands for as a share of 1. */
const components: Readonly<Record<number, { readonly size: number, readonly one: number, readonly get: (view: DataView, at: number) => number }>> = {
  5120: { size: 1, one: 127, get: (view, at) => view.getInt8(at) },
  5121: { size: 1, one: 255, get: (view, at) => view.getUint8(at) },
  5122: { size: 2, one: 32_767, get: (view, at) => view.getInt16(at, true) },
  5123: { size: 2, one: 65_535, get: (view, at) => view.getUint16(at, true) },
  5125: { size: 4, one: 4_294_967_295, get: (view, at) => view.getUint32(at, true) },
  5126: { size: 4, one: 1, get: (view, at) => view.getFloat32(at, true) },
}

const widths: Readonly<Record<string, number>> = { SCALAR: 1, VEC3: 3 }

export class GltfAccessors {
  readonly #json: Json
  /** Of a binary file: the buffer without an address. */
  readonly #own: Uint8Array | undefined
  readonly #buffers = new Map<number, Uint8Array>()
  readonly #read = new Map<number, Float64Array>()

  constructor(json: Json, own: Uint8Array | undefined) {
    this.#json = json
    this.#own = own
  }

  /** All numbers of an accessor of this type. */
  values(accessor: unknown, type: 'SCALAR' | 'VEC3'): Float64Array {
    const index = indexOf(accessor)
    const known = index === undefined ? undefined : this.#read.get(index)
    if (known !== undefined) return known
    const description = recordOf(index === undefined ? undefined : listOf(this.#json['accessors'])[index])
    const values = this.#values(description, type)
    if (index !== undefined) this.#read.set(index, values)
    return values
  }

  #values(description: Json, type: 'SCALAR' | 'VEC3'): Float64Array {
    const count = indexOf(description['count']), component = components[Number(description['componentType'])], width = widths[textIn(description['type'])]
    if (count === undefined || component === undefined || width !== widths[type]) throw damaged('one of its tables of figures ("accessors") is not described')
    if (description['sparse'] !== undefined) throw new Unreadable('keeps its figures as sparse accessors, which are not read. Export the part again without them.')
    const bytes = this.#view(indexOf(description['bufferView']))
    const offset = indexOf(description['byteOffset'] ?? 0), stride = bytes.stride ?? component.size * width
    const needed = (offset ?? 0) + (count === 0 ? 0 : (count - 1) * stride + component.size * width)
    if (offset === undefined || needed > bytes.bytes.length) throw damaged('one of its tables of figures reaches beyond the file')
    const view = new DataView(bytes.bytes.buffer, bytes.bytes.byteOffset, bytes.bytes.byteLength)
    const scale = description['normalized'] === true ? 1 / component.one : 1
    const values = new Float64Array(count * width)
    for (let i = 0; i < count; i++) {
      for (let k = 0; k < width; k++) {
        const value = component.get(view, offset + i * stride + k * component.size)
        values[i * width + k] = scale === 1 ? value : Math.max(-1, value * scale)
      }
    }
    return values
  }

  #view(index: number | undefined): { bytes: Uint8Array, stride: number | undefined } {
    const description = recordOf(index === undefined ? undefined : listOf(this.#json['bufferViews'])[index])
    const buffer = indexOf(description['buffer']), offset = indexOf(description['byteOffset'] ?? 0), length = indexOf(description['byteLength'])
    const stride = description['byteStride'] === undefined ? undefined : indexOf(description['byteStride'])
    if (buffer === undefined || offset === undefined || length === undefined || stride === 0) throw damaged('one of its "bufferViews" is not described')
    const bytes = this.#buffer(buffer)
    if (offset + length > bytes.length) throw damaged('one of its "bufferViews" reaches beyond the file')
    return { bytes: bytes.subarray(offset, offset + length), stride }
  }

  #buffer(index: number): Uint8Array {
    const known = this.#buffers.get(index)
    if (known !== undefined) return known
    const description = listOf(this.#json['buffers'])[index]
    const uri = recordOf(description)['uri']
    if (description === undefined) throw damaged('one of its "buffers" is missing')
    const bytes = uri === undefined && index === 0 ? this.#own : dataOf(textIn(uri))
    if (bytes === undefined) throw damaged('its figures are missing')
    this.#buffers.set(index, bytes)
    return bytes
  }
}

function damaged(what: string): Unreadable {
  return new Unreadable(`is damaged or not glTF: ${what}. Copy or export the file again.`)
}

/** The bytes written in a `data:` address; another file is not opened. */
function dataOf(uri: string): Uint8Array | undefined {
  if (uri === '') return undefined
  if (!uri.startsWith('data:')) throw new Unreadable(`keeps its figures in another file, "${uri.slice(0, 60).replace(/[^\u0020-\u007e]/g, '?')}", which is not opened. Export the part as binary glTF (.glb), or with the figures embedded.`)
  const comma = uri.indexOf(',')
  if (comma < 0 || !/;base64$/.test(uri.slice(0, Math.min(comma, 200)))) throw damaged('its embedded figures are not written as base64')
  return fromBase64(uri, comma + 1)
}

const letters = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/'
const sixBits = new Int8Array(128).fill(-1)
for (let i = 0; i < letters.length; i++) sixBits[letters.charCodeAt(i)] = i

function fromBase64(text: string, from: number): Uint8Array {
  let end = text.length
  while (end > from && text[end - 1] === '=') end--
  const bytes = new Uint8Array(Math.floor((end - from) * 6 / 8))
  let bits = 0, held = 0, used = 0
  for (let i = from; i < end; i++) {
    const code = text.charCodeAt(i), value = code < 128 ? sixBits[code] : -1
    if (value < 0) throw damaged('its embedded figures are not written as base64')
    held = (held << 6 | value) & 0xffff
    bits += 6
    if (bits >= 8) {
      bits -= 8
      bytes[used++] = held >> bits & 0xff
    }
  }
  return bytes
}
