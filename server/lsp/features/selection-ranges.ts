import { selectionsAt } from '../../engine/editor-service.ts'
import { guardQuestion } from '../guard.ts'
import type { Position, SelectionRange } from '../protocol.ts'
import type { ServerContext } from '../server-context.ts'

interface Question { readonly textDocument: { readonly uri: string }, readonly positions: readonly Position[] }

/** What is selected step by step around a cursor. */
export function registerSelectionRanges({ connection, offer, log, texts }: ServerContext): void {
  offer(() => ({ selectionRangeProvider: true }))
  connection.onSelectionRanges(guardQuestion<Question, SelectionRange[]>('selectionRange', log, [], ({ textDocument, positions }) => {
    const program = texts.of(textDocument.uri)
    if (program === undefined) return []
    return positions.flatMap(({ line, character }) => {
      let outer: SelectionRange | undefined
      for (const area of selectionsAt(program, line, character).reverse()) {
        outer = { range: { start: { line: area.line, character: area.from }, end: { line: area.lastLine, character: area.to } }, ...outer === undefined ? {} : { parent: outer } }
      }
      return outer ?? []
    })
  }))
}
