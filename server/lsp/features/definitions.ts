import { definitionsAt, referencesAt, type Definition } from '../../engine/editor-service.ts'
import { uriOf } from '../document-path.ts'
import { guardQuestion } from '../guard.ts'
import { DocumentHighlightKind, TextDocument } from '../protocol.ts'
import type { DocumentHighlight, Location, TextDocumentPositionParams } from '../protocol.ts'
import { rangeOfPlace, type LiveProgram } from '../program-texts.ts'
import type { ServerContext } from '../server-context.ts'

type ReferenceQuestion = TextDocumentPositionParams & { readonly context: { readonly includeDeclaration: boolean } }

/** Where a sequence number, a program, a variable or a tool is laid down, and where else it is meant. */
export function registerDefinitions({ connection, offer, log, texts }: ServerContext): void {
  offer(() => ({ definitionProvider: true, referencesProvider: true, documentHighlightProvider: true }))
  connection.onDefinition(guardQuestion<TextDocumentPositionParams, Location[]>('definition', log, [], ({ textDocument: { uri }, position }) => {
    const program = texts.of(uri)
    const found = program === undefined ? undefined : definitionsAt(program, position.line, position.character, program.findProgram)
    return found === undefined || program === undefined ? [] : found.definitions.map(one => locationOf(uri, program, one))
  }))
  connection.onReferences(guardQuestion<ReferenceQuestion, Location[]>('references', log, [], ({ textDocument: { uri }, position, context }) => {
    const program = texts.of(uri)
    return program === undefined ? [] : referencesAt(program, position.line, position.character)
      .filter(one => context.includeDeclaration || !one.isDefinition).map(one => ({ uri, range: rangeOfPlace(one) }))
  }))
  connection.onDocumentHighlight(guardQuestion<TextDocumentPositionParams, DocumentHighlight[]>('documentHighlight', log, [], ({ textDocument: { uri }, position }) => {
    const program = texts.of(uri)
    return program === undefined ? [] : referencesAt(program, position.line, position.character)
      .map(one => ({ range: rangeOfPlace(one), kind: one.isDefinition ? DocumentHighlightKind.Write : DocumentHighlightKind.Read }))
  }))
}

function locationOf(uri: string, { sheetText }: LiveProgram, definition: Definition): Location {
  if (definition.kind === 'place') return { uri, range: rangeOfPlace(definition.place) }
  const start = { line: 0, character: 0 }
  if (definition.kind === 'file') return { uri: uriOf(definition.path), range: { start, end: start } }
  const sheet = TextDocument.create(uriOf(definition.path), 'jsonc', 0, sheetText ?? '')
  return { uri: sheet.uri, range: { start: sheet.positionAt(definition.span.start), end: sheet.positionAt(definition.span.end) } }
}
