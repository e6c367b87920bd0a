import type { Finding } from '../../shared/finding.ts'
import type { Problem } from '../../shared/problem.ts'
import type { Machine } from '../../shared/machine.ts'
import type { MeshPlacement, Setup } from '../../shared/setup.ts'
import type { Obstacle } from './contact/obstacle.ts'
import { toFindings } from './lint/level-findings.ts'
import type { MeshTree } from './mesh/mesh-tree.ts'
import { readMeshFile, type BinaryFile, type MeshOptions } from './open-mesh.ts'
import type { Scene } from './open-scene.ts'
import { stockBody } from './stock-body.ts'

/** A mesh besides the part's that the scene names, and has to be read. */
export interface ObstacleSource {
  readonly kind: 'fixture' | 'barrier' | 'body' | 'stock'
  /** Place in the sheet's list, or in the machine's. */
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
export function obstacleFilesOf({ setup, machine, usable }: Scene): ObstacleSource[] {
  if (setup?.part === undefined || !usable) return []
  const source = (kind: ObstacleSource['kind'], { name, mesh }: { readonly name: string, readonly mesh: MeshPlacement }, index: number): ObstacleSource =>
    ({ kind, index, path: mesh.path, what: meshWords(kind, name) })
  return [
    ...setup.fixtures.map((fixture, i) => source('fixture', fixture, i)),
    ...setup.barriers.map((barrier, i) => source('barrier', barrier, i)),
    ...(machine.bodies ?? []).map((body, i) => source('body', body, i)),
    // Only bodies of the machine are held against the stock's mesh itself.
    ...machine.bodies !== undefined && machine.bodies.length > 0 && setup.stock?.kind === 'mesh' ? [{ kind: 'stock', index: 0, path: setup.stock.mesh.path, what: 'The mesh of the stock' } as const] : [],
  ]
}

/** Reads the meshes of fixtures, barriers and machine bodies and builds their trees. One that cannot be used is said, and the others are searched. */
export function openObstacles(files: readonly ObstacleFile[], scene: Scene, options: MeshOptions = {}, part?: MeshTree): { obstacles: Obstacle[], findings: Finding[] } {
  const { setup, machine } = scene
  const obstacles: Obstacle[] = [], problems: Problem[] = []
  if (setup === undefined) return { obstacles, findings: [] }
  let stockMesh: MeshTree | undefined
  for (const { kind, index, file } of files) {
    if (kind === 'stock') {
      // What is wrong with it is said where the stock is followed.
      stockMesh = setup.stock?.kind === 'mesh' ? readMeshFile(file, setup.stock.mesh, { file: setup.path, span: setup.stock.mesh.span }, options).mesh : undefined
      continue
    }
    const source = kind === 'fixture' ? setup.fixtures[index] : kind === 'barrier' ? setup.barriers[index] : machine.bodies?.[index]
    if (source === undefined) continue
    const place = { file: kind === 'body' ? machine.path ?? setup.path : setup.path, span: source.mesh.span }
    const { mesh, problems: found } = readMeshFile(file, source.mesh, place, options)
    problems.push(...found.filter(({ rule }) => kind !== 'barrier' || !fineForSurfaces.has(rule)))
    if (mesh === undefined) {
      problems.push({ rule: 'not-checked', ...place, message: `Contact with the ${called(kind)} "${source.name}" was not searched: its mesh cannot be used.` })
      continue
    }
    const { triangleCount, corners, nodes, links, min, max } = mesh
    obstacles.push({ kind, index, tree: { triangleCount, corners, nodes, links, min, max } })
  }
  if (obstacles.some(({ kind }) => kind === 'body')) {
    const stock = stockBody(setup, part, stockMesh)
    if (stock !== undefined) obstacles.push(stock)
    problems.push(...bodyGaps(setup, machine, stock !== undefined))
  }
  return { obstacles, findings: toFindings(problems) }
}

/** What messages call the mesh of an obstacle. */
export function meshWords(kind: ObstacleSource['kind'], name: string): string {
  return `The mesh of ${called(kind)} "${name}"`
}

function called(kind: ObstacleSource['kind']): string {
  return kind === 'body' ? 'machine body' : kind
}

/** What the search of machine bodies does not see, said once. */
function bodyGaps(setup: Setup, machine: Machine, hasStock: boolean): Problem[] {
  const gaps: Problem[] = []
  if (setup.stock !== undefined && !hasStock) {
    const span = setup.spans['stock'] ?? { start: 0, end: 0 }
    gaps.push({ rule: 'not-checked', file: setup.path, span, message: `The bodies of the machine were not held against the stock: ${setup.stock.kind === 'from' ? 'what another set-up leaves is only held against the tool' : 'its mesh cannot be used'}.` })
  }
  const carried = [machine.head, machine.table].some(chain => chain.some((joint, i) =>
    ['X', 'Y', 'Z'].includes(machine.axes[joint]?.letter ?? '') && chain.slice(0, i).some(before => machine.axes[before]?.kind === 'rotary')))
  if (carried && machine.path !== undefined) {
    gaps.push({
      rule: 'not-checked', file: machine.path, span: machine.bodies?.[0]?.mesh.span ?? { start: 0, end: 0 },
      message: 'A rotary axis of this machine carries X, Y or Z: in blocks that turn the tool under tool-centre control its bodies were only searched where the way of these axes does not matter.',
    })
  }
  return gaps
}
