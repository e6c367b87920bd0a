import type { Span } from '../../../shared/span.ts'
import { parseJson, type JsonNode } from './json-tree.ts'
import { resolveBeside } from './resolve-path.ts'

/** A place in a sheet or machine file that names another file. */
export interface FileLink {
  /** Between the quotes. */
  readonly span: Span
  /** Resolved against the folder of the file it stands in. */
  readonly path: string
}

/** Keys whose value names one file, wherever they stand. `from` names a sheet in a stock and a block in a pass. */
const oneFile: ReadonlySet<string> = new Set(['mesh', 'machine', 'from'])

/** Every file that a sheet or machine file names, in the order of its text; a pattern names none in particular. Any text is fine. */
export function fileLinks(file: { readonly path: string, readonly text: string }): FileLink[] {
  const links: FileLink[] = []
  const take = (node: JsonNode) => {
    if (node.kind !== 'string' || node.value.trim() === '' || /[*?]/.test(node.value)) return
    links.push({ span: { start: node.span.start + 1, end: node.span.end - 1 }, path: resolveBeside(file.path, node.value) })
  }
  const walk = (node: JsonNode, isInStock: boolean): void => {
    if (node.kind === 'array') for (const item of node.items) walk(item, isInStock)
    if (node.kind !== 'object') return
    for (const { key, value } of node.members) {
      if (key === 'programs' && value.kind === 'array') value.items.forEach(take)
      else if (oneFile.has(key) && (key !== 'from' || isInStock)) take(value)
      walk(value, key === 'stock')
    }
  }
  const { root } = parseJson(file.text)
  if (root !== undefined) walk(root, false)
  return links
}
