import type { Finding } from '../../../shared/finding.ts'
import type { MendOptions, MendReport } from '../../engine/service.ts'
import { proveMend } from '../../edge/prove-mend.ts'
import { unlessGivenUp } from '../../edge/while-wanted.ts'
import { pathOf, uriOf } from '../document-path.ts'
import { guardRequest } from '../guard.ts'
import { checkMended, judgedReading, unfinished } from '../mended-text.ts'
import { CodeActionKind, DiagnosticSeverity, LSPErrorCodes, ResponseError, TextDocument } from '../protocol.ts'
import type { CancellationToken, CodeAction, CodeActionParams, WorkspaceEdit } from '../protocol.ts'
import type { Reading } from '../reading.ts'
import type { ServerContext } from '../server-context.ts'

/** What a code action keeps until somebody asks what it would change. */
interface MendWish { readonly mend: string, readonly rule: string, readonly line: number, readonly version: number }

/** Rules whose findings a correction of the path can end. */
const mendable: ReadonlySet<string> = new Set([
  'gouge', 'neck-contact', 'shank-contact', 'holder-contact', 'neck-clearance', 'shank-clearance', 'holder-clearance', 'fixture-contact', 'fixture-clearance',
  'barrier-crossed', 'rapid-into-part', 'rapid-clearance', 'axis-off-point', 'axis-rate',
])

/** What an editor lays before the user: the words of the mend beside the changed text. */
const annotation = 'mend'

/** Works out what a mend would change when the user chooses it, and lays it before them: nothing is changed without their word. */
export function registerMending(context: ServerContext): void {
  const { connection, log } = context
  connection.onCodeActionResolve(guardRequest<CodeAction, CodeAction | ResponseError<void>>('codeAction/resolve', log, (action, token) => {
    const wish = wishOf(action)
    return wish === undefined ? action : resolveMend(action, wish, token, context)
  }))
}

/** The mends that can be asked for at these findings, for clients that fetch the change later and show it before it is made. */
export function mendActions({ textDocument, context: { diagnostics } }: CodeActionParams, { client, programs, documents }: ServerContext): CodeAction[] {
  const { codeAction } = client.capabilities.textDocument ?? {}
  if (codeAction?.resolveSupport?.properties.includes('edit') !== true || codeAction.dataSupport !== true || !programs.has(textDocument.uri)) return []
  return diagnostics.flatMap((diagnostic): CodeAction[] => {
    const rule = String(diagnostic.code)
    // What is accepted already is shown as a hint.
    if (diagnostic.source !== 'toolwake' || !mendable.has(rule) || diagnostic.severity === DiagnosticSeverity.Hint) return []
    const data: MendWish = { mend: textDocument.uri, rule, line: diagnostic.range.start.line, version: documents.get(textDocument.uri)?.version ?? 0 }
    return [{ title: `Mend ${rule} and show what changes…`, kind: CodeActionKind.QuickFix, diagnostics: [diagnostic], data }]
  })
}

function wishOf({ data }: CodeAction): MendWish | undefined {
  return typeof data === 'object' && data !== null && 'mend' in data ? data as MendWish : undefined
}

async function resolveMend(action: CodeAction, wish: MendWish, token: CancellationToken, { connection, client, readingOf }: ServerContext): Promise<CodeAction | ResponseError<void>> {
  const refuse = (because: string) => new ResponseError<void>(LSPErrorCodes.RequestFailed, because)
  const reading = await readingOf(wish.mend)
  if (reading.version !== wish.version) return refuse('The program has changed since: ask for the mend again.')
  const open = unfinished(reading)
  if (open !== undefined) return refuse(`${open}: ask for the mend again when it is done.`)
  const finding = reading.findings().find(({ rule, file, span }) => rule === wish.rule && file === undefined && reading.document.positionAt(span.start).line === wish.line)
  if (finding === undefined) return refuse(`There is no ${wish.rule} in this line any more.`)
  const progress = client.capabilities.window?.workDoneProgress === true ? await connection.window.createWorkDoneProgress() : undefined
  let isOff = false
  progress?.begin(`Mending ${wish.rule}`, 0, undefined, true)
  progress?.token.onCancellationRequested(() => { isOff = true })
  try {
    const options = optionsFor(finding, reading), figures = reading.figures.run(0, reading.figures.count)
    const cancellation = { cancelled: () => isOff || token.isCancellationRequested }
    // The threads see it too, at their next look; the user need not wait for that.
    const proven = await unlessGivenUp(proveMend({
      scene: reading.scene.scene,
      before: judgedReading(reading),
      mend: heldBack => reading.scene.mend(reading.program, pathOf(wish.mend), figures, { ...options, heldBack }, cancellation,
        (done, total) => progress?.report(Math.round(100 * done / Math.max(1, total)))),
      check: text => checkMended(reading, text, cancellation),
    }), cancellation), report = proven?.report
    if (report === undefined) return refuse('The mend was called off.')
    const sheet = sheetEditOf(report, reading)
    if (report.edits.length === 0 && sheet !== undefined) return { ...action, edit: sheet }
    if (report.edits.length === 0) return refuse(`${wish.rule} was not mended. ${refusedWords(report)}`)
    return { ...action, edit: editOf(reading, wish.mend, report, client.capabilities.workspace?.workspaceEdit?.changeAnnotationSupport !== undefined) }
  } finally {
    progress?.done()
  }
}

/** The blocks of the finding; a rule on motions is mended wherever it is broken. */
function optionsFor({ rule, contact }: Finding, reading: Reading): MendOptions {
  const accepted = reading.findings().flatMap(each => each.waiver === undefined || each.contact === undefined ? [] : [{ rule: each.rule, first: each.contact.firstLine - 1, last: each.contact.lastLine - 1 }])
  return contact === undefined ? { accepted, rules: [rule] } : { accepted, lines: { first: contact.firstLine - 1, last: contact.lastLine - 1 } }
}

function refusedWords({ refused }: MendReport): string {
  const whys = [...new Set(refused.flatMap(({ why }) => why))]
  return whys.length === 0 ? 'Nothing of it is a matter of the path.' : `Tried: ${whys.slice(0, 4).join('; ')}.`
}

function editOf({ document, version }: Reading, uri: string, report: MendReport, annotates: boolean): WorkspaceEdit {
  const edits = report.edits.map(({ span, text }) => ({ range: rangeOf(document, span), newText: text, ...annotates ? { annotationId: annotation } : {} }))
  return {
    documentChanges: [{ textDocument: { uri, version }, edits }],
    ...annotates ? { changeAnnotations: { [annotation]: { label: report.mended.flatMap(({ corrections }) => corrections).join('; '), description: describe(report), needsConfirmation: true } } } : {},
  }
}

/** The sheet with the stick-outs that end what the path cannot. */
function sheetEditOf({ reach }: MendReport, { textOf }: Reading): WorkspaceEdit | undefined {
  const sheets = reach.flatMap(({ sheet }) => sheet === undefined ? [] : [sheet]), path = sheets[0]?.path, text = path === undefined ? undefined : textOf(path)
  if (path === undefined || text === undefined) return undefined
  const document = TextDocument.create(uriOf(path), 'jsonc', 0, text)
  const annotated = reach.flatMap(({ tool, from, to }) => to === undefined ? [] : [`tool ${tool}: stick-out ${Number(to.toFixed(3))} mm instead of ${Number(from.toFixed(3))}`]).join('; ')
  return {
    documentChanges: [{ textDocument: { uri: document.uri, version: null }, edits: sheets.map(({ edit }) => ({ range: rangeOf(document, edit.span), newText: edit.text, annotationId: annotation })) }],
    changeAnnotations: { [annotation]: { label: annotated, description: 'its holder then keeps its distance in the whole program (proven)', needsConfirmation: true } },
  }
}

function rangeOf(document: Pick<TextDocument, 'positionAt'>, { start, end }: { readonly start: number, readonly end: number }) {
  return { start: document.positionAt(start), end: document.positionAt(end) }
}

/** The proven figures after the mend, what still stands, and what the proof does not reach. */
function describe({ mended, proof }: MendReport): string {
  const figures = mended.flatMap(({ figures, remaining }) => [
    ...figures.map(({ component, against, after }) => after === undefined ? `${component} against ${against}: clear of the limit`
      : `${component} against ${against}: ${Math.abs(after.value).toFixed(3)} mm ${after.value < 0 ? 'deep' : 'clear'} ± ${after.bound.toFixed(3)} (proven)`),
    ...remaining > 0 ? [`${remaining} figures still at fault`] : [],
  ])
  return [...figures, ...proof?.left ?? [], ...proof === undefined || proof.unchecked.length === 0 ? [] : [`not checked again: ${proof.unchecked.join(', ')}`]].join('; ')
}
