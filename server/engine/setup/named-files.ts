import { parseJson } from './json-tree.ts'
import { resolveBeside } from './resolve-path.ts'

/** What a sheet points to; all that the edge must know of it to find and read files. */
export interface NamedFiles {
  /** As written: globs relative to the sheet. */
  readonly programs: readonly string[]
  /** Resolved against the sheet's folder. */
  readonly machine?: string
  readonly part?: string
}

/** Reads only the names, and passes over everything that does not fit: `readSetup` says what is wrong. */
export function namedFiles(sheet: { readonly path: string, readonly text: string }): NamedFiles {
  const { root } = parseJson(sheet.text)
  if (root?.kind !== 'object') return { programs: [] }
  const value = (key: string) => root.members.find(member => member.key === key)?.value
  const programs = value('programs'), machine = value('machine'), part = value('part')
  const mesh = part?.kind === 'object' ? part.members.find(member => member.key === 'mesh')?.value : undefined
  const beside = (name: string) => name.trim() === '' ? undefined : resolveBeside(sheet.path, name)
  return {
    programs: programs?.kind === 'array' ? programs.items.flatMap(item => item.kind === 'string' ? [item.value] : []) : [],
    machine: machine?.kind === 'string' ? beside(machine.value) : undefined,
    part: mesh?.kind === 'string' ? beside(mesh.value) : undefined,
  }
}
