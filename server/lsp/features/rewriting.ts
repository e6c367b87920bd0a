import { stepwise, type Stepwise } from '../../../shared/stepwise.ts'
import { runStepwise } from '../../edge/run-stepwise.ts'
import { renumber, tidyChanges, type Numbering, type RenameAnswer, type TextChange } from '../../engine/editor-service.ts'
import { lineSpan } from '../../engine/service.ts'
import type { RewriteAnswer, RewriteEdit } from '../../../shared/protocol/server-messages.ts'
import { uriOf } from '../document-path.ts'
import { TextDocument } from '../protocol.ts'
import type { CancellationToken } from '../protocol.ts'
import type { LiveProgram } from '../program-texts.ts'
import type { ServerContext } from '../server-context.ts'

/** More edits than this are sent as one piece of text: an editor takes that far faster. */
const MOST_EDITS = 2000

const PIECES_AT_ONCE = 1000

/** Tidying and renumbering, on command alone: never while typing or saving. */
export function registerRewriting({ answer, texts, tell }: ServerContext): void {
  const programOf = (uri: string): LiveProgram => {
    const program = texts.of(uri)
    if (program === undefined) throw new Error('This program is not open in the editor.')
    return program
  }
  /** A long program is worked on slice by slice, so that everything else that is asked meanwhile is answered. */
  const inSlices = async (uri: string, work: Stepwise<RewriteAnswer>, token: CancellationToken): Promise<RewriteAnswer> => {
    const done = await runStepwise(work, { cancelled: () => token.isCancellationRequested }, share => tell('toolwake/rewriteProgress', { uri, share }))
    if (done === undefined) throw new Error('It was stopped; nothing was changed.')
    return done
  }
  answer('toolwake/tidy', ({ uri }, token) => inSlices(uri, tidied(uri, programOf(uri)), token))
  answer('toolwake/renumber', ({ uri, start, step, every }, token) => inSlices(uri, renumbered(uri, programOf(uri), { start, step, every }), token))
}

function* tidied(uri: string, program: LiveProgram): Stepwise<RewriteAnswer> {
  return { version: program.version, edits: yield* editsOf(uri, program, yield* tidyChanges(program)) }
}

function* renumbered(uri: string, program: LiveProgram, numbering: Numbering): Stepwise<RewriteAnswer> {
  const answer = yield* renumber(program, numbering, program.sheetText, program.called?.texts() ?? [])
  return answer.kind === 'refused' ? { version: program.version, edits: [], refused: answer.because } : yield* rewritten(uri, program, answer)
}

function* rewritten(uri: string, program: LiveProgram, { edits, sheet }: Extract<RenameAnswer, { kind: 'edits' }>): Stepwise<RewriteAnswer> {
  const ofSheet = sheet.map(({ path, span, text }): RewriteEdit => {
    const document = TextDocument.create(uriOf(path), 'jsonc', 0, program.sheetText ?? '')
    const start = document.positionAt(span.start), end = document.positionAt(span.end)
    return { uri: document.uri, line: start.line, from: start.character, lastLine: end.line, to: end.character, text }
  })
  return { version: program.version, edits: [...yield* editsOf(uri, program, edits), ...ofSheet] }
}

/** `changes`: of single lines, in the order of the text. */
function* editsOf(uri: string, { text, lineStarts }: LiveProgram, changes: readonly TextChange[]): Stepwise<RewriteEdit[]> {
  const first = changes[0], last = changes.at(-1)
  if (changes.length <= MOST_EDITS || first === undefined || last === undefined) {
    return changes.map(({ line, from, to, text }) => ({ uri, line, from, lastLine: line, to, text }))
  }
  // Put together bit by bit: a million pieces at once would hold everybody up.
  const stretches: string[] = [], pieces: string[] = []
  let at = lineStarts[first.line] ?? 0
  yield* stepwise(changes, changes.length, [1, 1], change => {
    const start = (lineStarts[change.line] ?? 0)
    pieces.push(text.slice(at, start + change.from) + change.text)
    at = start + change.to
    if (pieces.length === PIECES_AT_ONCE) stretches.push(pieces.splice(0).join(''))
  })
  const { start, end } = lineSpan(lineStarts, text, last.line)
  pieces.push(text.slice(at, end))
  return [{ uri, line: first.line, from: 0, lastLine: last.line, to: end - start, text: [...stretches, ...pieces].join('') }]
}
