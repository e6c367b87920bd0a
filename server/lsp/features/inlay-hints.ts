import { hintsOf } from '../../engine/editor-service.ts'
import { guardQuestion } from '../guard.ts'
import { InlayHintKind } from '../protocol.ts'
import type { InlayHint, Range } from '../protocol.ts'
import type { ServerContext } from '../server-context.ts'

interface Question { readonly textDocument: { readonly uri: string }, readonly range: Range }

/** What is in force, what expressions come to, and clearances, between the words: off until the user asks for it. */
export function registerInlayHints({ connection, offer, log, settings, programs, readingOf }: ServerContext): void {
  offer(() => ({ inlayHintProvider: true }))
  connection.languages.inlayHint.on(guardQuestion<Question, InlayHint[]>('inlayHint', log, [], async ({ textDocument: { uri }, range }) => {
    if (!programs.has(uri)) return []
    const { hints } = await settings.of(uri)
    if (!hints.modes && !hints.values && !hints.clearances) return []
    const { view, contact } = await readingOf(uri)
    return hintsOf(view, contact, range.start.line, range.end.line, hints).map(({ line, column, label, tooltip }) => ({
      position: { line, character: column }, label, tooltip, kind: InlayHintKind.Parameter, paddingLeft: column > 0, paddingRight: true,
    }))
  }))
}
