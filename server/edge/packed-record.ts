import { deserialize, serialize } from 'node:v8'

// A record of plain data and typed arrays as bytes, so that the arrays can be used where they lie. Numbers keep every bit, infinite
// ones and the sign of nought too. Byte order is the machine's own: such bytes do not leave it.

const arrayTypes = { Uint8Array, Uint16Array, Uint32Array, Int32Array, Float32Array, Float64Array } as const

export type PackedArray = Uint8Array | Uint16Array | Uint32Array | Int32Array | Float32Array | Float64Array

interface Head {
  readonly words: unknown
  readonly arrays: readonly { readonly name: string, readonly type: keyof typeof arrayTypes, readonly length: number }[]
}

/** The parts to write, one behind the other; arrays are not copied. */
export function packRecord(words: unknown, arrays: Readonly<Record<string, PackedArray>>): Uint8Array[] {
  const named = Object.entries(arrays)
  const head: Head = { words, arrays: named.map(([name, array]) => ({ name, type: array.constructor.name as keyof typeof arrayTypes, length: array.length })) }
  const headBytes = serialize(head), length = new Uint8Array(8)
  new DataView(length.buffer).setUint32(0, headBytes.length, true)
  return [length, ...padded(headBytes), ...named.flatMap(([, array]) => padded(new Uint8Array(array.buffer, array.byteOffset, array.byteLength)))]
}

/** What was packed; the arrays lie on the memory of `bytes`, which must begin at a multiple of 8. */
export function unpackRecord(bytes: Uint8Array): { readonly words: unknown, readonly arrays: Readonly<Record<string, PackedArray | undefined>> } {
  const length = new DataView(bytes.buffer, bytes.byteOffset).getUint32(0, true)
  const head = deserialize(bytes.slice(8, 8 + length)) as Head
  const arrays: Record<string, PackedArray> = {}
  let at = 8 + roundUp(length)
  for (const { name, type, length: count } of head.arrays) {
    const Type = arrayTypes[type]
    arrays[name] = new Type(bytes.buffer as ArrayBuffer, bytes.byteOffset + at, count)
    at += roundUp(count * Type.BYTES_PER_ELEMENT)
  }
  return { words: head.words, arrays }
}

function padded(bytes: Uint8Array): Uint8Array[] {
  return bytes.length % 8 === 0 ? [bytes] : [bytes, new Uint8Array(8 - bytes.length % 8)]
}

function roundUp(length: number): number {
  return Math.ceil(length / 8) * 8
}
