import type { Problem } from '../../../shared/problem.ts'
import type { Triple } from '../../../shared/setup.ts'
import { type MeshPlace, meshProblem, placeOf } from './mesh-place.ts'

/** Slips of unit: how many times too large the mesh then is, and what to write. */
const slips: readonly { readonly factor: number, readonly instead: string }[] = [
  { factor: 25.4, instead: 'its file looks like millimetres read as inches; write "units": "mm" for the mesh if so' },
  { factor: 1 / 25.4, instead: 'its file looks like inches read as millimetres; write "units": "inch" for the mesh if so' },
  { factor: 1000, instead: 'its file looks like micrometres; export it in millimetres if so' },
  { factor: 1 / 1000, instead: 'its file looks like metres; export it in millimetres if so' },
]

/** A program is rarely more than this many times larger or smaller than what it cuts, once the unit is right. */
const LIKENESS = 2.5

/**
 * Whether the mesh looks off by a unit against the program: sizes differ by about 25.4 or 1000, and
 * would lie together if the slip were mended. All in mm, part frame; `program`: the tool point's cutting moves;
 * `fileUnit`: the unit the file itself states.
 */
export function unitsDoubt(meshMin: Triple, meshMax: Triple, programMin: Triple, programMax: Triple, name = 'The mesh', place?: MeshPlace, fileUnit?: string): Problem | undefined {
  const mesh = diagonal(meshMin, meshMax), program = diagonal(programMin, programMax)
  if (!(mesh > 0 && program > 0) || !Number.isFinite(mesh + program)) return undefined
  const ratio = mesh / program
  for (const { factor, instead } of slips) {
    if (Math.abs(Math.log(ratio / factor)) > Math.log(LIKENESS)) continue
    if (apart(meshMin, meshMax, programMin, programMax, factor) > (mesh / factor + program) / 2) continue
    const times = factor > 1 ? `about ${Math.round(ratio * 10) / 10} times the size of` : `about ${Math.round(10 / ratio) / 10} times smaller than`
    return meshProblem('mesh-units-doubtful', `${name} is ${size(meshMin, meshMax)} mm, ${times} the program's cutting moves (${size(programMin, programMax)} mm): ${fileUnit === undefined ? instead : `the file says that it is in ${fileUnit}, and may have been written in another unit; export it again if so`}.`, placeOf(name, place))
  }
  return undefined
}

/** Distance of the boxes' middles, the mesh shrunk about the part's zero. */
function apart(meshMin: Triple, meshMax: Triple, programMin: Triple, programMax: Triple, factor: number): number {
  return Math.hypot(...[0, 1, 2].map(k => (meshMin[k] + meshMax[k]) / 2 / factor - (programMin[k] + programMax[k]) / 2))
}

function diagonal(min: Triple, max: Triple): number {
  return max[0] < min[0] || max[1] < min[1] || max[2] < min[2] ? NaN : Math.hypot(max[0] - min[0], max[1] - min[1], max[2] - min[2])
}

function size(min: Triple, max: Triple): string {
  return [0, 1, 2].map(k => String(Number((max[k] - min[k]).toPrecision(4)))).join(' × ')
}
