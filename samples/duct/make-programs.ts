import { finishingPasses } from './ball-path.ts'
import { editProgram } from './faults.ts'
import { ductMesh } from './mesh.ts'
import { measureMesh } from './mesh-distance.ts'
import { programText } from './program-text.ts'

/** The two programs by file name, computed against the mesh as the STL file holds it. */
export function makePrograms(): Readonly<Record<string, string>> {
  const clean = programText(finishingPasses(measureMesh(ductMesh())))
  return { 'throat.nc': clean, 'throat-edited.nc': editProgram(clean) }
}
