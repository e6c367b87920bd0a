import type { Finding } from '../../shared/finding.ts'
import type { Problem } from '../../shared/problem.ts'
import type { MeshPlacement } from '../../shared/setup.ts'
import { toFindings } from './lint/level-findings.ts'
import type { MeshPlace } from './mesh/mesh-place.ts'
import { inspectMesh } from './mesh/mesh-quality.ts'
import { buildMeshTree, type MeshTree } from './mesh/mesh-tree.ts'
import { placeMesh } from './mesh/place-mesh.ts'
import { readMesh } from './mesh/read-mesh.ts'
import { unitsConflict } from './mesh/units-conflict.ts'
import type { Scene } from './open-scene.ts'

/** A file the edge was asked for: its bytes, or in one sentence why there are none. */
export interface BinaryFile {
  readonly path: string
  readonly bytes?: Uint8Array
  readonly failure?: string
}

/** The part's triangles in the part frame with their tree, ready for the search; on shared memory where there is any. */
export interface PartMesh extends MeshTree {
  /** Estimated distance of each facet from the smooth surface it stands for, mm, in the tree's order. */
  readonly chordErrors: Float32Array
  /** The unit that the file itself states, in a word. */
  readonly fileUnit?: string
}

/** Reads the part's mesh, lays it in the part frame and builds its tree. */
export function openMesh(file: BinaryFile, scene: Scene): { mesh?: PartMesh, findings: Finding[] } {
  const { setup } = scene
  if (setup?.part === undefined) return { findings: [] }
  const place = { file: setup.path, span: setup.part.span }
  const { mesh, problems } = readMeshFile(file, setup.part, place)
  if (mesh === undefined) problems.push({ rule: 'not-checked', ...place, message: 'Contact was not searched: the part\'s mesh cannot be used.' })
  return { mesh, findings: toFindings(problems) }
}

/** Reads any mesh the sheet or the machine file names; what is wrong with it is said at `place`. */
export function readMeshFile(file: BinaryFile, placement: MeshPlacement, place: MeshPlace): { mesh?: PartMesh, problems: Problem[] } {
  if (file.bytes === undefined) {
    return { problems: [{ rule: 'mesh-unreadable', ...place, message: file.failure ?? `${file.path} was not read.` }] }
  }
  const name = baseName(placement.path)
  const read = readMesh(file.bytes, name, place)
  if (read.corners === undefined) return { problems: read.problems }
  const placed = placeMesh(read.corners, { ...placement, scale: read.unit?.mm ?? placement.scale })
  const inspected = inspectMesh(placed, { name, place })
  const conflict = unitsConflict(read.unit, placement, name, place)
  const problems = [...read.problems, ...conflict === undefined ? [] : [conflict], ...inspected.problems]
  if (inspected.corners.length === 0) return { problems }
  const { tree, order } = buildMeshTree(inspected.corners, typeof SharedArrayBuffer !== 'undefined')
  const chordErrors = Float32Array.from(order, at => inspected.chordErrors[at] ?? 0)
  return { mesh: { ...tree, chordErrors, ...read.unit === undefined ? {} : { fileUnit: read.unit.name } }, problems }
}

/** The last part of a path, whichever way its folders are parted. */
export function baseName(path: string): string {
  return path.slice(Math.max(path.lastIndexOf('/'), path.lastIndexOf('\\')) + 1)
}
