import type { Finding } from '../../shared/finding.ts'
import type { Setup } from '../../shared/setup.ts'
import type { Span } from '../../shared/span.ts'
import { toFindings } from './lint/level-findings.ts'
import { meshWords } from './open-obstacles.ts'
import type { TextFile } from './read-program.ts'
import { readMachine } from './setup/read-machine.ts'

/** A mesh that a sheet or a machine file names, and where it does so. */
export interface NamedMesh {
  readonly path: string
  /** What messages call it, as the search does: `The part's mesh`. */
  readonly what: string
  readonly file: string
  readonly span: Span
}

/** The meshes of a setup sheet, whether or not the rest of it can be used. */
export function meshesOfSheet({ path: file, part, fixtures, barriers, stock }: Setup): NamedMesh[] {
  return [
    ...part === undefined ? [] : [{ path: part.path, what: 'The part\'s mesh', file, span: part.span }],
    ...fixtures.map(({ name, mesh }) => ({ path: mesh.path, what: meshWords('fixture', name), file, span: mesh.span })),
    ...barriers.map(({ name, mesh }) => ({ path: mesh.path, what: meshWords('barrier', name), file, span: mesh.span })),
    ...stock?.kind === 'mesh' ? [{ path: stock.mesh.path, what: 'The mesh of the stock', file, span: stock.mesh.span }] : [],
  ]
}

/** A machine file by itself: what is wrong with it, and the meshes of its bodies, whether or not the rest can be used. */
export function openMachine(file: TextFile): { readonly meshes: readonly NamedMesh[], readonly findings: readonly Finding[] } {
  const { bodies, problems } = readMachine(file)
  const meshes = (bodies ?? []).map(({ name, mesh }) => ({ path: mesh.path, what: meshWords('body', name), file: file.path, span: mesh.span }))
  return { meshes, findings: toFindings(problems) }
}

/** The findings of meshes that cannot be read; `failure`: why, as a sentence. The search says the same of them in the same words. */
export function unreadableMeshes(meshes: readonly { readonly mesh: NamedMesh, readonly failure: string }[]): Finding[] {
  return toFindings(meshes.map(({ mesh: { file, span }, failure }) => ({ rule: 'mesh-unreadable', file, span, message: failure })))
}
