import type { Finding } from '../../shared/finding.ts'
import type { Problem } from '../../shared/problem.ts'
import type { MeshPlacement } from '../../shared/setup.ts'
import { toFindings } from './lint/level-findings.ts'
import type { MeshPlace } from './mesh/mesh-place.ts'
import { inspectMesh } from './mesh/mesh-quality.ts'
import { buildMeshTree, type BuildParts, type MeshTree } from './mesh/mesh-tree.ts'
import type { MeshRoom } from './mesh/mesh-room.ts'
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

/** What reading one file with one placement has come to: problems without the place that names the file. */
export interface KeptMesh {
  readonly mesh: PartMesh
  readonly problems: readonly Pick<Problem, 'rule' | 'message' | 'level'>[]
}

/** Keeps meshes by the content of their files, so that the same file need not be read and sorted into a tree again. */
export interface MeshKeeper {
  readonly recall: (bytes: Uint8Array, name: string, placement: MeshPlacement) => KeptMesh | undefined
  readonly keep: (bytes: Uint8Array, name: string, placement: MeshPlacement, mesh: KeptMesh) => void
}

/** How meshes are opened. */
export interface MeshOptions {
  readonly keeper?: MeshKeeper
  /** What meshes may take; absent: as much as there is. */
  readonly room?: MeshRoom
  /** Builds the parts of large trees; absent: one after the other. */
  readonly build?: BuildParts
}

/** Reads the part's mesh, lays it in the part frame and builds its tree. */
export function openMesh(file: BinaryFile, scene: Scene, options: MeshOptions = {}): { mesh?: PartMesh, findings: Finding[] } {
  const { setup } = scene
  if (setup?.part === undefined) return { findings: [] }
  const place = { file: setup.path, span: setup.part.span }
  const { mesh, problems } = readMeshFile(file, setup.part, place, options)
  if (mesh === undefined) problems.push({ rule: 'not-checked', ...place, message: 'Contact was not searched: the part\'s mesh cannot be used.' })
  return { mesh, findings: toFindings(problems) }
}

/** Reads any mesh the sheet or the machine file names; what is wrong with it is said at `place`. */
export function readMeshFile(file: BinaryFile, placement: MeshPlacement, place: MeshPlace, { keeper, room, build }: MeshOptions = {}): { mesh?: PartMesh, problems: Problem[] } {
  if (file.bytes === undefined) {
    return { problems: [{ rule: 'mesh-unreadable', ...place, message: file.failure ?? `${file.path} was not read.` }] }
  }
  const name = baseName(placement.path)
  if (room?.isTooNarrowFor(file.bytes.length) === true) return { problems: [noRoom(name, room, place)] }
  const kept = keeper?.recall(file.bytes, name, placement)
  if (kept !== undefined && room?.take(kept.mesh.triangleCount) === false) return { problems: [noRoom(name, room, place)] }
  if (kept !== undefined) return { mesh: kept.mesh, problems: kept.problems.map(problem => ({ ...problem, ...place })) }
  const { mesh, problems } = makeMesh(file.bytes, name, placement, place, { room, build })
  // Only what is said of the file itself can be said again wherever a sheet names it.
  if (mesh !== undefined && problems.every(({ file: where, span, related, motion }) => where === place.file && span === place.span && related === undefined && motion === undefined)) {
    keeper?.keep(file.bytes, name, placement, { mesh, problems: problems.map(({ rule, message, level }) => ({ rule, message, ...level === undefined ? {} : { level } })) })
  }
  return { mesh, problems }
}

function makeMesh(bytes: Uint8Array, name: string, placement: MeshPlacement, place: MeshPlace, { room, build }: MeshOptions): { mesh?: PartMesh, problems: Problem[] } {
  const read = readMesh(bytes, name, place)
  if (read.corners === undefined) return { problems: read.problems }
  if (room?.take(read.corners.length / 9) === false) return { problems: [...read.problems, noRoom(name, room, place)] }
  const placed = placeMesh(read.corners, { ...placement, scale: read.unit?.mm ?? placement.scale })
  const inspected = inspectMesh(placed, { name, place })
  const conflict = unitsConflict(read.unit, placement, name, place)
  const problems = [...read.problems, ...conflict === undefined ? [] : [conflict], ...inspected.problems]
  if (inspected.corners.length === 0) return { problems }
  const { tree, order } = buildMeshTree(inspected.corners, typeof SharedArrayBuffer !== 'undefined', build)
  const chordErrors = Float32Array.from(order, at => inspected.chordErrors[at] ?? 0)
  return { mesh: { ...tree, chordErrors, ...read.unit === undefined ? {} : { fileUnit: read.unit.name } }, problems }
}

function noRoom(name: string, room: MeshRoom, place: MeshPlace): Problem {
  return { rule: 'not-checked', ...place, message: `${name} was not opened: ${room.reason()}` }
}

/** The last part of a path, whichever way its folders are parted. */
export function baseName(path: string): string {
  return path.slice(Math.max(path.lastIndexOf('/'), path.lastIndexOf('\\')) + 1)
}
