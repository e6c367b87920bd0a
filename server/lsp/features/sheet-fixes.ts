import { limitChange, sheetAddition, type SheetAddition } from '../../engine/editor-service.ts'
import { uriOf } from '../document-path.ts'
import { CodeActionKind, TextDocument } from '../protocol.ts'
import type { CodeAction, CodeActionParams, WorkspaceEdit } from '../protocol.ts'
import type { ServerContext } from '../server-context.ts'
import { findingOf } from './quick-fixes.ts'

/** What the sheet lacks, and rules about a limit that it sets. */
const rulesOfSheet: ReadonlySet<string> = new Set([
  'tool-not-in-setup', 'unset-work-offset', 'gouge', 'neck-clearance', 'shank-clearance', 'holder-clearance', 'head-clearance', 'fixture-clearance', 'rapid-clearance', 'rotation-near-part', 'leftover', 'scallop', 'rotary-swing', 'axis-off-point',
])

/** Entries that the setup sheet lacks, at the blocks that call for them, and limits that would allow a block. They are written into the sheet; the program stays. */
export async function sheetActions({ textDocument: { uri }, context: { diagnostics, only } }: CodeActionParams, { client, programs, documents }: ServerContext): Promise<CodeAction[]> {
  const wanted = diagnostics.filter(({ code }) => rulesOfSheet.has(String(code)))
  if (wanted.length === 0 || only?.every(kind => kind !== '' && kind !== CodeActionKind.QuickFix) === true) return []
  const reading = await programs.get(uri)?.current()
  const path = reading?.scene.sheetPath, text = path === undefined ? undefined : reading?.textOf(path)
  if (reading === undefined || path === undefined || text === undefined) return []
  const open = documents.all().find(document => document.uri === uriOf(path))
  // Typed into since it was read: the finding is about to be told anew.
  if (open !== undefined && open.getText() !== text) return []
  const sheet = open ?? TextDocument.create(uriOf(path), 'jsonc', 0, text)
  const { program, called, view } = reading
  return wanted.flatMap((diagnostic): CodeAction[] => {
    const finding = findingOf(reading, diagnostic)
    if (finding === undefined || finding.waiver !== undefined) return []
    const addition = limitChange(finding, view, reading.limits, text) ?? sheetAddition(finding.rule, view.stateAt(diagnostic.range.start.line + 1), program, text, called === undefined ? {} : { programs: number => called.find(number) })
    if (addition === undefined) return []
    const edit = editOf(sheet, open?.version ?? null, addition, client.capabilities.workspace?.workspaceEdit?.documentChanges === true)
    return [{ title: addition.title, kind: CodeActionKind.QuickFix, diagnostics: [diagnostic], edit }]
  })
}

function editOf(sheet: TextDocument, version: number | null, { edits }: SheetAddition, isVersioned: boolean): WorkspaceEdit {
  const ofText = edits.map(({ span, text }) => ({ range: { start: sheet.positionAt(span.start), end: sheet.positionAt(span.end) }, newText: text }))
  return isVersioned ? { documentChanges: [{ textDocument: { uri: sheet.uri, version }, edits: ofText }] } : { changes: { [sheet.uri]: ofText } }
}
