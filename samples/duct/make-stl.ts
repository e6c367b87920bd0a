import { stlBytes } from '../stl-bytes.ts'
import { ductMesh } from './mesh.ts'

/** The file `duct.stl`, byte for byte the same on every machine. */
export function makeStl(): Uint8Array {
  return stlBytes(ductMesh(), 'Cast duct, lip over the throat, mm')
}
