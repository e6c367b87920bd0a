import type { Finding } from '../../shared/finding.ts'
import type { Problem } from '../../shared/problem.ts'
import { toFindings } from './lint/level-findings.ts'
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
  const part = scene.setup?.part
  if (scene.setup === undefined || part === undefined) return { findings: [] }
  const place = { file: scene.setup.path, span: part.span }
  const unread = (problems: readonly Problem[]) => ({
    findings: toFindings([...problems, { rule: 'not-checked', ...place, message: 'Contact was not searched: the part\'s mesh cannot be used.' }]),
  })
  if (file.bytes === undefined) {
    return unread([{ rule: 'mesh-unreadable', ...place, message: file.failure ?? `${file.path} was not read.` }])
  }
  const name = baseName(part.path)
  const read = readMesh(file.bytes, name, place)
  if (read.corners === undefined) return unread(read.problems)
  const placed = placeMesh(read.corners, { ...part, scale: read.unit?.mm ?? part.scale })
  const inspected = inspectMesh(placed, { name, place })
  const conflict = unitsConflict(read.unit, part, name, place)
  const problems = [...read.problems, ...conflict === undefined ? [] : [conflict], ...inspected.problems]
  if (inspected.corners.length === 0) return unread(problems)
  const { tree, order } = buildMeshTree(inspected.corners, typeof SharedArrayBuffer !== 'undefined')
  const chordErrors = Float32Array.from(order, at => inspected.chordErrors[at] ?? 0)
  return { mesh: { ...tree, chordErrors, ...read.unit === undefined ? {} : { fileUnit: read.unit.name } }, findings: toFindings(problems) }
}

/** The last part of a path, whichever way its folders are parted. */
export function baseName(path: string): string {
  return path.slice(Math.max(path.lastIndexOf('/'), path.lastIndexOf('\\')) + 1)
}
