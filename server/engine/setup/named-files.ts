import { type JsonNode, parseJson } from './json-tree.ts'
import { resolveBeside } from './resolve-path.ts'

/** What a sheet points to; all that the edge must know of it to find and read files. */
export interface NamedFiles {
  /** As written: globs relative to the sheet. */
  readonly programs: readonly string[]
  /** Resolved against the sheet's folder. */
  readonly machine?: string
  readonly part?: string
  /** Meshes of fixtures and barriers. */
  readonly others: readonly string[]
}

/** The meshes of a machine file's bodies, resolved against its folder. */
export function namedBodies(machine: { readonly path: string, readonly text: string }): string[] {
  const { root } = parseJson(machine.text)
  const bodies = root?.kind === 'object' ? root.members.find(member => member.key === 'bodies')?.value : undefined
  return bodies?.kind === 'array' ? bodies.items.flatMap(item => meshOf(item, machine.path) ?? []) : []
}

function meshOf(node: JsonNode | undefined, beside: string): string | undefined {
  const mesh = node?.kind === 'object' ? node.members.find(member => member.key === 'mesh')?.value : undefined
  return mesh?.kind === 'string' && mesh.value.trim() !== '' ? resolveBeside(beside, mesh.value) : undefined
}

/** Reads only the names, and passes over everything that does not fit: `readSetup` says what is wrong. */
export function namedFiles(sheet: { readonly path: string, readonly text: string }): NamedFiles {
  const { root } = parseJson(sheet.text)
  if (root?.kind !== 'object') return { programs: [], others: [] }
  const value = (key: string) => root.members.find(member => member.key === key)?.value
  const programs = value('programs'), machine = value('machine'), part = value('part')
  const beside = (name: string) => name.trim() === '' ? undefined : resolveBeside(sheet.path, name)
  return {
    programs: programs?.kind === 'array' ? programs.items.flatMap(item => item.kind === 'string' ? [item.value] : []) : [],
    machine: machine?.kind === 'string' ? beside(machine.value) : undefined,
    part: meshOf(part, sheet.path),
    others: ['fixtures', 'barriers'].flatMap(key => {
      const list = value(key)
      return list?.kind === 'array' ? list.items.flatMap(item => meshOf(item, sheet.path) ?? []) : []
    }),
  }
}
