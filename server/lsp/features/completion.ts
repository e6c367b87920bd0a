import { completionAt, type Offer } from '../../engine/editor-service.ts'
import { guardQuestion } from '../guard.ts'
import { CompletionItemKind, MarkupKind } from '../protocol.ts'
import type { CompletionItem, CompletionList, TextDocumentPositionParams } from '../protocol.ts'
import { rangeOfPlace } from '../program-texts.ts'
import type { ServerContext } from '../server-context.ts'

const kinds: Readonly<Record<Offer['kind'], CompletionItemKind>> = {
  code: CompletionItemKind.Keyword, letter: CompletionItemKind.Field, tool: CompletionItemKind.EnumMember, sequence: CompletionItemKind.Reference,
  program: CompletionItemKind.Function, variable: CompletionItemKind.Variable, rule: CompletionItemKind.Constant, keyword: CompletionItemKind.Keyword, function: CompletionItemKind.Method,
}

/** What can be written at the cursor, by the control's dialect and the sheet. */
export function registerCompletion({ connection, offer, log, texts }: ServerContext): void {
  offer(() => ({ completionProvider: { triggerCharacters: ['#', '[', '.'] } }))
  connection.onCompletion(guardQuestion<TextDocumentPositionParams, CompletionList | null>('completion', log, null, ({ textDocument, position }) => {
    const program = texts.of(textDocument.uri)
    if (program === undefined) return null
    const { place, offers, isPart } = completionAt(program, position.line, position.character)
    const range = rangeOfPlace(place)
    const items = offers.map(({ label, detail, documentation, kind }, at): CompletionItem => ({
      label, detail, kind: kinds[kind],
      ...documentation === '' ? {} : { documentation: { kind: MarkupKind.Markdown, value: documentation } },
      // In the order they were found: the alphabet would put G10 before G2.
      sortText: String(at).padStart(5, '0'),
      filterText: label,
      textEdit: { range, newText: label },
    }))
    return { isIncomplete: isPart, items }
  }))
}
