import { type JsonNode, parseJson } from './json-tree.ts'
import { resolveBeside } from './resolve-path.ts'

/** What a sheet points to; all that the edge must know of it to find and read files. */
export interface NamedFiles {
  /** As written: globs relative to the sheet. */
  readonly programs: readonly string[]
  /** Resolved against the sheet's folder. */
  readonly machine?: string
  readonly part?: string
  /** Meshes of fixtures, barriers and the stock. */
  readonly others: readonly string[]
  /** The sheet whose programs leave the stock. */
  readonly earlier?: string
}

/** The meshes of a machine file's bodies, resolved against its folder. */
export function namedBodies(machine: { readonly path: string, readonly text: string }): string[] {
  const { root } = parseJson(machine.text)
  const bodies = root?.kind === 'object' ? root.members.find(member => member.key === 'bodies')?.value : undefined
  return bodies?.kind === 'array' ? bodies.items.flatMap(item => meshOf(item, machine.path) ?? []) : []
}

function meshOf(node: JsonNode | undefined, beside: string): string | undefined {
  return fileOf(node, 'mesh', beside)
}

function fileOf(node: JsonNode | undefined, key: string, beside: string): string | undefined {
  const name = node?.kind === 'object' ? node.members.find(member => member.key === key)?.value : undefined
  return name?.kind === 'string' && name.value.trim() !== '' ? resolveBeside(beside, name.value) : undefined
}

/** Reads only the names, and passes over everything that does not fit: `readSetup` says what is wrong. */
export function namedFiles(sheet: { readonly path: string, readonly text: string }): NamedFiles {
  const { root } = parseJson(sheet.text)
  if (root?.kind !== 'object') return { programs: [], others: [] }
  const value = (key: string) => root.members.find(member => member.key === key)?.value
  const programs = value('programs'), machine = value('machine'), part = value('part'), stock = value('stock'), stockMesh = meshOf(stock, sheet.path)
  const beside = (name: string) => name.trim() === '' ? undefined : resolveBeside(sheet.path, name)
  return {
    programs: programs?.kind === 'array' ? programs.items.flatMap(item => item.kind === 'string' ? [item.value] : []) : [],
    machine: machine?.kind === 'string' ? beside(machine.value) : undefined,
    part: meshOf(part, sheet.path),
    others: [...['fixtures', 'barriers'].flatMap(key => {
      const list = value(key)
      return list?.kind === 'array' ? list.items.flatMap(item => meshOf(item, sheet.path) ?? []) : []
    }), ...stockMesh === undefined ? [] : [stockMesh]],
    earlier: fileOf(stock, 'from', sheet.path),
  }
}
