import type { Problem } from '../../../shared/problem.ts'
import type { MeshPlacement } from '../../../shared/setup.ts'
import type { FileUnit } from './mesh-facets.ts'
import { type MeshPlace, meshProblem } from './mesh-place.ts'

/** A sheet that says another unit for the mesh than the file itself does. The file's own counts. */
export function unitsConflict(unit: FileUnit | undefined, { scale, unitSaid }: Pick<MeshPlacement, 'scale' | 'unitSaid'>, name: string, place: MeshPlace): Problem | undefined {
  if (unit === undefined || unitSaid !== true || unit.mm === scale) return undefined
  const said = scale === 1 ? '"mm"' : '"inch"'
  return meshProblem('mesh-units-doubtful', `${name} is in ${unit.name} by what the file itself says, and the sheet says "units": ${said} for it. It is taken in ${unit.name}; leave out "units" for this mesh, or export it again if it is in another unit.`, place)
}
