import { hoverAt, toolWords } from '../../engine/editor-service.ts'
import { guardQuestion } from '../guard.ts'
import { MarkupKind } from '../protocol.ts'
import type { Hover, HoverParams } from '../protocol.ts'
import type { ServerContext } from '../server-context.ts'
import { sheetHover } from './sheet-hover.ts'

/** What the word under the pointer means, and what its block does; in a sheet, the tool it is about. */
export function registerHover(context: ServerContext): void {
  const { connection, client, offer, log, programs, readingOf } = context
  offer(() => ({ hoverProvider: true }))
  connection.onHover(guardQuestion<HoverParams, Hover | null>('hover', log, null, async params => {
    const { textDocument, position } = params
    if (!programs.has(textDocument.uri)) return sheetHover(params, context)
    const { document, view, contact } = await readingOf(textDocument.uri)
    const hover = hoverAt(view, contact, document.offsetAt(position), number => toolWords(view.setup, number, client))
    if (hover === undefined) return null
    return {
      contents: { kind: MarkupKind.Markdown, value: hover.markdown },
      range: { start: document.positionAt(hover.span.start), end: document.positionAt(hover.span.end) },
    }
  }))
}
