import { concludeMesh, type MeshResult, type ReadMesh } from './mesh-facets.ts'
import { count, facets, type MeshPlace, MOST_TRIANGLES } from './mesh-place.ts'
import { readAsciiStl } from './read-ascii-stl.ts'

// A binary STL file is an 80-byte header, a count and 50 bytes a facet, so its size is
// 84 + 50 n. The header may begin with "solid": the size decides, never the word.

const HEADER = 84
const FACET = 50

/** Bytes behind the last facet that are taken for an exporter's habit rather than for facets. */
const STRAY_TAIL = 50

/** `name`: how messages call the file. The facets' own normals are not read: the order of the corners says the side. */
export function readStl(bytes: Uint8Array, name: string, place?: MeshPlace): ReadMesh {
  return concludeMesh(readStlFacets(bytes), name, place)
}

/** Whether the size is the one that a binary STL of this count has. */
export function isBinaryStl(bytes: Uint8Array): boolean {
  return bytes.length >= HEADER && bytes.length === HEADER + FACET * facetCount(bytes)
}

/** What is no STL of any form is named for what it looks like. */
export function readStlFacets(bytes: Uint8Array): MeshResult {
  if (bytes.length === 0) return { failure: 'is empty. Export the part again as STL.' }
  if (isBinaryStl(bytes)) return readBinary(bytes)
  if (beginsAsText(bytes)) return readAsciiStl(bytes)
  const other = otherFormat(bytes)
  if (other !== undefined) return { failure: `is ${other}, not STL. Export the part as STL, binary or text.` }
  if (bytes.length < HEADER) return { failure: `has ${bytes.length} bytes; an STL file has at least ${HEADER}. It is another kind of file, or was cut short; export the part again as STL.` }
  return readUneven(bytes)
}

/** The size is not that of its count: cut short, added to, or no STL at all. */
function readUneven(bytes: Uint8Array): MeshResult {
  const says = facetCount(bytes), holds = Math.floor((bytes.length - HEADER) / FACET)
  const tail = bytes.length - HEADER - FACET * says
  if (says > 0 && tail > 0 && (tail < STRAY_TAIL || allZero(bytes, HEADER + FACET * says))) {
    const read = readBinary(bytes)
    return 'failure' in read ? read : { ...read, remarks: [`has ${count(tail)} ${tail === 1 ? 'byte' : 'bytes'} behind its last facet, which are left out. If facets are missing, export the part again.`] }
  }
  const sizes = `its header says ${facets(says)}, which take ${count(HEADER + FACET * says)} bytes, but the file has ${count(bytes.length)}`
  if (tail > 0) return { failure: `cannot be read as STL: ${sizes} (room for ${count(holds)}). The count is wrong or this is another kind of file; export the part again as STL.` }
  return { failure: `is cut short or not STL: ${sizes} (room for ${count(holds)}). Copy or export the file again.` }
}

function readBinary(bytes: Uint8Array): MeshResult {
  const n = facetCount(bytes)
  if (n > MOST_TRIANGLES) return { failure: `has ${facets(n)}, more than the ${count(MOST_TRIANGLES)} that can be handled. Export the part with a coarser tolerance, or only the region that is cut.` }
  const corners = new Float64Array(9 * n)
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  let at = 0
  for (let i = 0; i < n; i++) {
    const facet = HEADER + FACET * i + 12
    let sum = 0
    for (let k = 0; k < 9; k++) {
      // Adding 0 turns -0 into 0, so that equal corners are equal in every bit.
      const value = view.getFloat32(facet + 4 * k, true) + 0
      corners[at + k] = value
      sum += value
    }
    // Nine float32 cannot overflow a float64, so the sum is finite exactly where each is.
    if (Number.isFinite(sum)) at += 9
  }
  return { corners: at === corners.length ? corners : corners.slice(0, at), notFinite: n - at / 9 }
}

function facetCount(bytes: Uint8Array): number {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength).getUint32(80, true)
}

function allZero(bytes: Uint8Array, from: number): boolean {
  for (let i = from; i < bytes.length; i++) if (bytes[i] !== 0) return false
  return true
}

/** The word "solid" and no zero byte near it: a binary header is padded with zeros or has binary facets soon after. */
function beginsAsText(bytes: Uint8Array): boolean {
  const head = bytes.subarray(0, 1024)
  return /^(\u00ef\u00bb\u00bf)?\s*solid(\s|$)/i.test(latin(head)) && !head.includes(0)
}

/** Files that are mistaken for STL, by how they begin. */
const others: readonly { readonly begins: RegExp, readonly is: string }[] = [
  { begins: /^PK\u0003\u0004/, is: 'a packed file (a 3MF model or a zip archive)' },
  { begins: /^\u001f\u008b/, is: 'a gzip-packed file' },
  { begins: /^ply\s/, is: 'a PLY model' },
  { begins: /^ISO-10303-21/, is: 'a STEP model' },
  { begins: /^glTF/, is: 'a glTF model' },
  { begins: /^(#[^\n]*\n|\s)*(mtllib|v|vn|o|g)\s/, is: 'an OBJ model' },
  { begins: /^\s*[<{]/, is: 'a text file (XML or JSON)' },
  { begins: /^\u0089PNG|^\u00ff\u00d8\u00ff/, is: 'a picture' },
  { begins: /^%\s|^%\r?\n/, is: 'a machine program' },
]

function otherFormat(bytes: Uint8Array): string | undefined {
  const head = latin(bytes.subarray(0, 512))
  return others.find(({ begins }) => begins.test(head))?.is
}

function latin(bytes: Uint8Array): string {
  return String.fromCharCode(...bytes)
}
