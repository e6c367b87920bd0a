import { Inflate, strFromU8 } from 'fflate'
import { count } from './mesh-place.ts'
import { Unreadable } from './unreadable.ts'

// The one door to fflate. The list of a zip archive's files is read here, not by the library, because
// sizes must be bounded before anything is unpacked, and while it is.

export interface ZipEntry {
  readonly name: string
  readonly method: number
  readonly packedSize: number
  readonly size: number
  readonly crc: number
  /** Where its own header stands. */
  readonly at: number
}

const MOST_ENTRIES = 20_000

/** Deflate never packs tighter than this (a 258-byte copy takes two bits). */
const TIGHTEST = 1032

/** Packed bytes that are unpacked between two looks at the size. */
const CHUNK = 1 << 16

const damaged = 'is damaged: its packed files are not where its list says. Copy or export the file again.'

/** Text of UTF-8 bytes. */
export function textOf(bytes: Uint8Array): string {
  return strFromU8(bytes)
}

/** The files of the archive by name, in small letters, without a slash before it. */
export function readZipDirectory(bytes: Uint8Array): Map<string, ZipEntry> {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  const end = findEnd(view)
  if (end === undefined) throw new Unreadable('is cut short: the list at the end of a packed file is missing. Copy or export the file again.')
  let entries = view.getUint16(end + 10, true), at = view.getUint32(end + 16, true)
  if (end >= 20 && view.getUint32(end - 20, true) === 0x07064b50) {
    // The list of a large archive stands elsewhere, with wider numbers.
    const wide = wideNumber(view, end - 12)
    if (wide + 56 > view.byteLength || view.getUint32(wide, true) !== 0x06064b50) throw new Unreadable(damaged)
    entries = wideNumber(view, wide + 32)
    at = wideNumber(view, wide + 48)
  }
  if (entries > MOST_ENTRIES) throw new Unreadable(`is a packed file with ${count(entries)} files in it; a 3MF model has a few. Export the part again.`)
  const directory = new Map<string, ZipEntry>()
  for (let i = 0; i < entries; i++) {
    if (at + 46 > view.byteLength || view.getUint32(at, true) !== 0x02014b50) throw new Unreadable(damaged)
    const nameSize = view.getUint16(at + 28, true), extraSize = view.getUint16(at + 30, true), next = at + 46 + nameSize + extraSize + view.getUint16(at + 32, true)
    if (next > view.byteLength) throw new Unreadable(damaged)
    if ((view.getUint16(at + 8, true) & 1) !== 0) throw new Unreadable('is a packed file with a password. Export the part again without one.')
    const name = strFromU8(bytes.subarray(at + 46, at + 46 + nameSize)).replace(/^\/+/, '').toLowerCase()
    const [size, packedSize, local] = wideSizes(view, at + 46 + nameSize, extraSize, [view.getUint32(at + 24, true), view.getUint32(at + 20, true), view.getUint32(at + 42, true)])
    directory.set(name, { name, method: view.getUint16(at + 10, true), packedSize, size, crc: view.getUint32(at + 16, true), at: local })
    at = next
  }
  return directory
}

/** The bytes of one file, `most` of them at most. */
export function unpack(bytes: Uint8Array, { name, method, packedSize, size, crc, at }: ZipEntry, most: number): Uint8Array {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  if (at + 30 > view.byteLength || view.getUint32(at, true) !== 0x04034b50) throw new Unreadable(damaged)
  const from = at + 30 + view.getUint16(at + 26, true) + view.getUint16(at + 28, true)
  if (from + packedSize > view.byteLength) throw new Unreadable(damaged)
  if (size > most) throw new Unreadable(`holds the file "${name}", which takes ${count(Math.ceil(size / 2 ** 20))} MB unpacked; at most ${count(Math.floor(most / 2 ** 20))} MB can be read. Export the part with a coarser tolerance, or as binary STL.`)
  const packed = bytes.subarray(from, from + packedSize)
  const unpacked = method === 0 ? packed : method === 8 && size <= packedSize * TIGHTEST + TIGHTEST ? inflate(packed, size) : undefined
  if (unpacked === undefined && method !== 0 && method !== 8) throw new Unreadable(`packs the file "${name}" in a way that is not read (method ${method}). Export the part again.`)
  if (unpacked?.length !== size || crcOf(unpacked) !== crc) throw new Unreadable(`is damaged: "${name}" in it does not unpack to what its list says. Copy or export the file again.`)
  return unpacked
}

/** Undefined where the bytes are not packed data, or hold more than `size`. */
function inflate(packed: Uint8Array, size: number): Uint8Array | undefined {
  const out = new Uint8Array(size)
  let used = 0, over = false
  const inflater = new Inflate(chunk => {
    if (used + chunk.length > size) over = true
    else {
      out.set(chunk, used)
      used += chunk.length
    }
  })
  try {
    for (let at = 0; at < packed.length && !over; at += CHUNK) inflater.push(packed.subarray(at, at + CHUNK), at + CHUNK >= packed.length)
  } catch {
    return undefined
  }
  return over || used !== size ? undefined : out
}

/** Of the record that ends every archive; a comment of up to 65,535 bytes may follow it. */
function findEnd(view: DataView): number | undefined {
  const last = view.byteLength - 22
  for (let at = last; at >= 0 && at >= last - 65_535; at--) if (view.getUint32(at, true) === 0x06054b50) return at
  return undefined
}

/** A 64-bit number; beyond 2^53 it points nowhere anyway. */
function wideNumber(view: DataView, at: number): number {
  return view.getUint32(at, true) + view.getUint32(at + 4, true) * 2 ** 32
}

/** Numbers that do not fit into 32 bits stand in an extra field, in this order. */
function wideSizes(view: DataView, from: number, length: number, sizes: [number, number, number]): [number, number, number] {
  for (let at = from; at + 4 <= from + length;) {
    const field = view.getUint16(at, true), end = at + 4 + view.getUint16(at + 2, true)
    if (field === 1) {
      let wide = at + 4
      return sizes.map(size => {
        if (size !== 0xffffffff || wide + 8 > end || end > from + length) return size
        wide += 8
        return wideNumber(view, wide - 8)
      }) as [number, number, number]
    }
    at = end
  }
  return sizes
}

const crcTable = Uint32Array.from({ length: 256 }, (_, n) => {
  let c = n
  for (let bit = 0; bit < 8; bit++) c = (c & 1) !== 0 ? 0xedb88320 ^ (c >>> 1) : c >>> 1
  return c >>> 0
})

/** CRC-32 of ISO 3309, as in zip and PNG. */
function crcOf(bytes: Uint8Array): number {
  let c = 0xffffffff
  for (let i = 0; i < bytes.length; i++) c = crcTable[(c ^ bytes[i]) & 0xff] ^ (c >>> 8)
  return (c ^ 0xffffffff) >>> 0
}
