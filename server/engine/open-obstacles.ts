import type { Finding } from '../../shared/finding.ts'
import type { Problem } from '../../shared/problem.ts'
import type { MeshPlacement } from '../../shared/setup.ts'
import type { Obstacle } from './contact/obstacle.ts'
import { toFindings } from './lint/level-findings.ts'
import { readMeshFile, type BinaryFile } from './open-mesh.ts'
import type { Scene } from './open-scene.ts'

/** A mesh besides the part's that the scene names, and has to be read. */
export interface ObstacleSource {
  readonly kind: 'fixture' | 'barrier'
  /** Place in the sheet's list. */
  readonly index: number
  readonly path: string
  /** What messages call the file: `The mesh of fixture "vice jaw"`. */
  readonly what: string
}

/** An obstacle with its file as the edge has read it. */
export interface ObstacleFile extends ObstacleSource {
  readonly file: BinaryFile
}

/** Why a fault of a barrier's mesh is none: a barrier is a surface, and may be open. */
const fineForSurfaces = new Set(['mesh-open', 'mesh-inside-out'])

/** The meshes to read for a scene; none where nothing is searched, because there is no part. */
export function obstacleFilesOf({ setup, usable }: Scene): ObstacleSource[] {
  if (setup?.part === undefined || !usable) return []
  const source = (kind: ObstacleSource['kind'], { name, mesh }: { readonly name: string, readonly mesh: MeshPlacement }, index: number): ObstacleSource =>
    ({ kind, index, path: mesh.path, what: `The mesh of ${kind} "${name}"` })
  return [
    ...setup.fixtures.map((fixture, i) => source('fixture', fixture, i)),
    ...setup.barriers.map((barrier, i) => source('barrier', barrier, i)),
  ]
}

/** Reads the meshes of fixtures and barriers and builds their trees. One that cannot be used is said, and the others are searched. */
export function openObstacles(files: readonly ObstacleFile[], { setup }: Scene): { obstacles: Obstacle[], findings: Finding[] } {
  const obstacles: Obstacle[] = [], problems: Problem[] = []
  for (const { kind, index, file } of files) {
    const source = kind === 'fixture' ? setup?.fixtures[index] : setup?.barriers[index]
    if (setup === undefined || source === undefined) continue
    const place = { file: setup.path, span: source.mesh.span }
    const { mesh, problems: found } = readMeshFile(file, source.mesh, place)
    problems.push(...found.filter(({ rule }) => kind === 'fixture' || !fineForSurfaces.has(rule)))
    if (mesh === undefined) {
      problems.push({ rule: 'not-checked', ...place, message: `Contact with the ${kind} "${source.name}" was not searched: its mesh cannot be used.` })
      continue
    }
    const { triangleCount, corners, nodes, links, min, max } = mesh
    obstacles.push({ kind, index, tree: { triangleCount, corners, nodes, links, min, max } })
  }
  return { obstacles, findings: toFindings(problems) }
}
