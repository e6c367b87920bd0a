import { concludeMesh, type MeshResult, type ReadMesh } from './mesh-facets.ts'
import type { MeshPlace } from './mesh-place.ts'
import { read3mf } from './read-3mf.ts'
import { isBinaryGltf, readGltf } from './read-gltf.ts'
import { readObj } from './read-obj.ts'
import { readPly } from './read-ply.ts'
import { isBinaryStl, readStlFacets } from './read-stl.ts'

/** How far into a text its first word that counts may stand: a long comment goes before it. */
const HEAD = 65_536

/** The triangles of a mesh file of any form that is read; its content says which, never its name. */
export function readMesh(bytes: Uint8Array, name: string, place?: MeshPlace): ReadMesh {
  return concludeMesh(readerOf(bytes)(bytes), name, place)
}

function readerOf(bytes: Uint8Array): (bytes: Uint8Array) => MeshResult {
  // The size of a binary STL fits its count exactly, whatever its header begins with.
  if (isBinaryStl(bytes)) return readStlFacets
  if (begins(bytes, 'PK\u0003\u0004') || begins(bytes, 'PK\u0005\u0006')) return read3mf
  if (isBinaryGltf(bytes)) return readGltf
  if (begins(bytes, 'ply\n') || begins(bytes, 'ply\r')) return readPly
  const head = String.fromCharCode(...bytes.subarray(0, 512)).replace(/^\u00ef\u00bb\u00bf/, '')
  if (/^\s*\{/.test(head)) return readGltf
  if (isObj(bytes)) return readObj
  // STL as text, and everything that is none of these: its reader knows what else is mistaken for a mesh.
  return readStlFacets
}

/** Whether the first line that is no comment begins as an OBJ line does. */
function isObj(bytes: Uint8Array): boolean {
  let at = bytes[0] === 0xef ? 3 : 0
  const end = Math.min(bytes.length, HEAD)
  while (at < end) {
    while (at < end && bytes[at] <= 32 && bytes[at] > 0) at++
    if (bytes[at] !== 35) return /^(v|vn|vt|f|o|g|s|mtllib|usemtl)[ \t]/.test(String.fromCharCode(...bytes.subarray(at, at + 8)))
    while (at < end && bytes[at] !== 10 && bytes[at] !== 13) at++
  }
  return false
}

function begins(bytes: Uint8Array, text: string): boolean {
  for (let i = 0; i < text.length; i++) if (bytes[i] !== text.charCodeAt(i)) return false
  return true
}
