import { renumber, tidyChanges, type RenameAnswer, type TextChange } from '../../engine/editor-service.ts'
import { lineSpan } from '../../engine/service.ts'
import type { RewriteAnswer, RewriteEdit } from '../../../shared/protocol/server-messages.ts'
import { uriOf } from '../document-path.ts'
import { TextDocument } from '../protocol.ts'
import type { LiveProgram } from '../program-texts.ts'
import type { ServerContext } from '../server-context.ts'

/** More edits than this are sent as one piece of text: an editor takes that far faster. */
const MOST_EDITS = 2000

/** Tidying and renumbering, on command alone: never while typing or saving. */
export function registerRewriting({ answer, texts }: ServerContext): void {
  const programOf = (uri: string): LiveProgram => {
    const program = texts.of(uri)
    if (program === undefined) throw new Error('This program is not open in the editor.')
    return program
  }
  answer('toolwake/tidy', ({ uri }) => {
    const program = programOf(uri)
    return { version: program.version, edits: editsOf(uri, program, tidyChanges(program)) }
  })
  answer('toolwake/renumber', ({ uri, start, step, every }) => {
    const program = programOf(uri)
    const answer = renumber(program, { start, step, every }, program.sheetText, program.called?.texts() ?? [])
    return answer.kind === 'refused' ? { version: program.version, edits: [], refused: answer.because } : rewritten(uri, program, answer)
  })
}

function rewritten(uri: string, program: LiveProgram, { edits, sheet }: Extract<RenameAnswer, { kind: 'edits' }>): RewriteAnswer {
  const ofSheet = sheet.map(({ path, span, text }): RewriteEdit => {
    const document = TextDocument.create(uriOf(path), 'jsonc', 0, program.sheetText ?? '')
    const start = document.positionAt(span.start), end = document.positionAt(span.end)
    return { uri: document.uri, line: start.line, from: start.character, lastLine: end.line, to: end.character, text }
  })
  return { version: program.version, edits: [...editsOf(uri, program, edits), ...ofSheet] }
}

/** `changes`: of single lines, in the order of the text. */
function editsOf(uri: string, { text, lineStarts }: LiveProgram, changes: readonly TextChange[]): RewriteEdit[] {
  const first = changes[0], last = changes.at(-1)
  if (changes.length <= MOST_EDITS || first === undefined || last === undefined) {
    return changes.map(({ line, from, to, text }) => ({ uri, line, from, lastLine: line, to, text }))
  }
  const pieces: string[] = []
  let at = lineStarts[first.line] ?? 0
  for (const change of changes) {
    const start = (lineStarts[change.line] ?? 0)
    pieces.push(text.slice(at, start + change.from), change.text)
    at = start + change.to
  }
  const { start, end } = lineSpan(lineStarts, text, last.line)
  pieces.push(text.slice(at, end))
  return [{ uri, line: first.line, from: 0, lastLine: last.line, to: end - start, text: pieces.join('') }]
}
