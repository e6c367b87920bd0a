import { tokenModifiers, tokensOf, tokenTypes, type ProgramText } from '../../engine/editor-service.ts'
import { guardQuestion } from '../guard.ts'
import { SemanticTokensBuilder } from '../protocol.ts'
import type { Range, SemanticTokens } from '../protocol.ts'
import type { ServerContext } from '../server-context.ts'

/** Lines coloured for an editor that asks for the whole text at once. */
const MOST_LINES = 20_000

interface OfDocument { readonly textDocument: { readonly uri: string } }

/** Colours that only the machine file can tell. */
export function registerSemanticTokens({ connection, offer, log, texts }: ServerContext): void {
  offer(({ capabilities }) => {
    // An editor that can ask for what it shows would ask for all besides, after each letter, and lay out what comes beside what is typed.
    const range = capabilities.textDocument?.semanticTokens?.requests.range ?? false
    return { semanticTokensProvider: { legend: { tokenTypes: [...tokenTypes], tokenModifiers: [...tokenModifiers] }, range: true, full: range === false } }
  })
  const none: SemanticTokens = { data: [] }
  connection.languages.semanticTokens.on(guardQuestion<OfDocument, SemanticTokens>('semanticTokens', log, none, ({ textDocument }) => {
    const program = texts.of(textDocument.uri)
    return program === undefined ? none : packed(program, 0, MOST_LINES - 1)
  }))
  connection.languages.semanticTokens.onRange(guardQuestion<OfDocument & { readonly range: Range }, SemanticTokens>('semanticTokens', log, none, ({ textDocument, range }) => {
    const program = texts.of(textDocument.uri)
    return program === undefined ? none : packed(program, range.start.line, range.end.line)
  }))
}

function packed(program: ProgramText, first: number, last: number): SemanticTokens {
  const builder = new SemanticTokensBuilder()
  for (const { line, from, to, type, modifiers } of tokensOf(program, first, last)) {
    const bits = modifiers.reduce((sum, modifier) => sum | 1 << tokenModifiers.indexOf(modifier), 0)
    builder.push(line, from, to - from, tokenTypes.indexOf(type), bits)
  }
  return builder.build()
}
