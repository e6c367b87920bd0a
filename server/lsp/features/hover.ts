import { hoverAt } from '../../engine/editor-service.ts'
import { guardQuestion } from '../guard.ts'
import { MarkupKind } from '../protocol.ts'
import type { Hover, HoverParams } from '../protocol.ts'
import type { ServerContext } from '../server-context.ts'

/** What the word under the pointer means, and what its block does. */
export function registerHover({ connection, offer, log, programs, readingOf }: ServerContext): void {
  offer(() => ({ hoverProvider: true }))
  connection.onHover(guardQuestion<HoverParams, Hover | null>('hover', log, null, async ({ textDocument, position }) => {
    if (!programs.has(textDocument.uri)) return null
    const { document, view, contact } = await readingOf(textDocument.uri)
    const hover = hoverAt(view, contact, document.offsetAt(position))
    if (hover === undefined) return null
    return {
      contents: { kind: MarkupKind.Markdown, value: hover.markdown },
      range: { start: document.positionAt(hover.span.start), end: document.positionAt(hover.span.end) },
    }
  }))
}
