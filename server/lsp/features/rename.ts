import { renameableAt, renameAt, type RenameAnswer } from '../../engine/editor-service.ts'
import { uriOf } from '../document-path.ts'
import { guardRequest } from '../guard.ts'
import { LSPErrorCodes, ResponseError, TextDocument } from '../protocol.ts'
import type { Range, TextDocumentPositionParams, TextEdit, WorkspaceEdit } from '../protocol.ts'
import { rangeOfPlace, type LiveProgram } from '../program-texts.ts'
import type { ServerContext } from '../server-context.ts'

type RenameQuestion = TextDocumentPositionParams & { readonly newName: string }

/** Another name for a sequence number, a program or a variable; everything that means it follows. */
export function registerRename({ connection, offer, log, texts }: ServerContext): void {
  offer(() => ({ renameProvider: { prepareProvider: true } }))
  connection.onPrepareRename(guardRequest<TextDocumentPositionParams, { range: Range, placeholder: string } | null>('prepareRename', log, ({ textDocument, position }) => {
    const program = texts.of(textDocument.uri)
    const found = program === undefined ? undefined : renameableAt(program, position.line, position.character)
    return found === undefined ? null : { range: rangeOfPlace(found.place), placeholder: found.name }
  }))
  connection.onRenameRequest(guardRequest<RenameQuestion, WorkspaceEdit | null | ResponseError<void>>('rename', log, ({ textDocument, position, newName }) => {
    const program = texts.of(textDocument.uri)
    if (program === undefined) return null
    const answer = renameAt(program, position.line, position.character, newName, program.sheetText)
    return answer.kind === 'refused' ? new ResponseError(LSPErrorCodes.RequestFailed, answer.because) : workspaceEdit(textDocument.uri, program, answer)
  }))
}

/** The edits of a program and of its sheet by the addresses of their documents. */
function workspaceEdit(uri: string, { sheetText }: LiveProgram, { edits, sheet }: Extract<RenameAnswer, { kind: 'edits' }>): WorkspaceEdit {
  const changes: Record<string, TextEdit[]> = { [uri]: edits.map(edit => ({ range: rangeOfPlace(edit), newText: edit.text })) }
  for (const { path, span, text } of sheet) {
    const document = TextDocument.create(uriOf(path), 'jsonc', 0, sheetText ?? '')
    const list = changes[document.uri] ??= []
    list.push({ range: { start: document.positionAt(span.start), end: document.positionAt(span.end) }, newText: text })
  }
  return { changes }
}
