import type { Cancellation } from '../../../shared/cancellation.ts'
import type { MendAnswer } from '../../../shared/protocol/server-messages.ts'
import { guardRequest } from '../guard.ts'
import { endsByItself } from '../mended-text.ts'
import { mendable, mendFinding, type FoundMend, type MendWish } from '../mend-finding.ts'
import { CodeActionKind, DiagnosticSeverity, LSPErrorCodes, ResponseError } from '../protocol.ts'
import type { CancellationToken, CodeAction, CodeActionParams, WorkspaceEdit } from '../protocol.ts'
import type { Reading } from '../reading.ts'
import type { ServerContext } from '../server-context.ts'

/** What a code action keeps until somebody asks what it would change: the wish, and the version of the text it was offered for. */
interface LaterMend { readonly mend: MendWish, readonly version: number }

/** What an editor lays before the user: the words of the mend beside the changed text. */
const annotation = 'mend'

/**
 * Works out what a mend would change when the user chooses it, and lays it before them: nothing is changed without their word. Our own
 * extension asks for the mended text and shows it beside the program; other clients get the change as that of their code action.
 */
export function registerMending(context: ServerContext): void {
  const { connection, log, answer, readingOf, tell, hearScene } = context
  const waiting = new Set<() => void>()
  hearScene(() => {
    for (const go of waiting) go()
  })
  /** The reading once its search has ended; the user sees how far that is, and can give up. */
  const finished = async (uri: string, token: CancellationToken): Promise<Reading> => {
    for (;;) {
      const reading = await readingOf(uri)
      if (token.isCancellationRequested || !endsByItself(reading)) return reading
      await new Promise<void>(resolve => {
        const go = () => {
          waiting.delete(go)
          givenUp.dispose()
          resolve()
        }
        const givenUp = token.onCancellationRequested(go)
        waiting.add(go)
      })
    }
  }
  answer('toolwake/mend', async ({ uri, rule, line }, token): Promise<MendAnswer> => {
    const cancellation = { cancelled: () => token.isCancellationRequested }
    const mend = await mendFinding({ uri, rule, line }, await finished(uri, token), cancellation, (done, total) => tell('toolwake/mendProgress', { uri, share: done / Math.max(1, total) }))
    if (token.isCancellationRequested) throw new Error('The mend was called off.')
    if ('refused' in mend) return { refused: mend.refused }
    const { document, text, label, description } = mend
    return { document: document.uri, edits: rangesOf(mend), text, label, description, version: mend.version }
  })
  connection.onCodeActionResolve(guardRequest<CodeAction, CodeAction | ResponseError<void>>('codeAction/resolve', log, (action, token) => {
    const later = laterOf(action)
    return later === undefined ? action : resolveMend(action, later, token, context)
  }))
}

/** The mends that can be asked for at these findings: by a command of our extension, or of clients that fetch the change later. */
export function mendActions({ textDocument, context: { diagnostics } }: CodeActionParams, { client, programs, documents }: ServerContext): CodeAction[] {
  const { codeAction } = client.capabilities.textDocument ?? {}
  const fetchesLater = codeAction?.resolveSupport?.properties.includes('edit') === true && codeAction.dataSupport === true
  if (!(client.withCommands || fetchesLater) || !programs.has(textDocument.uri)) return []
  return diagnostics.flatMap((diagnostic): CodeAction[] => {
    const rule = String(diagnostic.code), { line } = diagnostic.range.start
    // What is accepted already is shown as a hint.
    if (diagnostic.source !== 'toolwake' || !mendable.has(rule) || diagnostic.severity === DiagnosticSeverity.Hint) return []
    const title = `Mend ${rule} and show what changes…`, action = { title, kind: CodeActionKind.QuickFix, diagnostics: [diagnostic] }
    if (client.withCommands) return [{ ...action, command: { title, command: 'toolwake.showMend', arguments: [textDocument.uri, rule, line] } }]
    const data: LaterMend = { mend: { uri: textDocument.uri, rule, line }, version: documents.get(textDocument.uri)?.version ?? 0 }
    return [{ ...action, data }]
  })
}

function laterOf({ data }: CodeAction): LaterMend | undefined {
  return typeof data === 'object' && data !== null && 'mend' in data ? data as LaterMend : undefined
}

async function resolveMend(action: CodeAction, { mend: wish, version }: LaterMend, token: CancellationToken, { connection, client, readingOf }: ServerContext): Promise<CodeAction | ResponseError<void>> {
  const refuse = (because: string) => new ResponseError<void>(LSPErrorCodes.RequestFailed, because)
  const reading = await readingOf(wish.uri)
  if (reading.version !== version) return refuse('The program has changed since: ask for the mend again.')
  const progress = client.capabilities.window?.workDoneProgress === true ? await connection.window.createWorkDoneProgress() : undefined
  let isOff = false
  progress?.begin(`Mending ${wish.rule}`, 0, undefined, true)
  progress?.token.onCancellationRequested(() => { isOff = true })
  const cancellation: Cancellation = { cancelled: () => isOff || token.isCancellationRequested }
  try {
    const mend = await mendFinding(wish, reading, cancellation, (done, total) => progress?.report(Math.round(100 * done / Math.max(1, total))))
    if ('refused' in mend) return refuse(mend.refused)
    return { ...action, edit: editOf(mend, client.capabilities.workspace?.workspaceEdit?.changeAnnotationSupport !== undefined) }
  } finally {
    progress?.done()
  }
}

function editOf(mend: FoundMend, annotates: boolean): WorkspaceEdit {
  const { document: { uri }, version, label, description } = mend
  const edits = rangesOf(mend).map(({ line, from, lastLine, to, text }) => ({
    range: { start: { line, character: from }, end: { line: lastLine, character: to } }, newText: text, ...annotates ? { annotationId: annotation } : {},
  }))
  return {
    documentChanges: [{ textDocument: { uri, version: version ?? null }, edits }],
    ...annotates ? { changeAnnotations: { [annotation]: { label, description, needsConfirmation: true } } } : {},
  }
}

function rangesOf({ document, edits }: FoundMend) {
  return edits.map(({ span, text }) => {
    const start = document.positionAt(span.start), end = document.positionAt(span.end)
    return { uri: document.uri, line: start.line, from: start.character, lastLine: end.line, to: end.character, text }
  })
}
