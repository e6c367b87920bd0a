import type { Edit, Finding } from '../../../shared/finding.ts'
import { fixOf, safeEdits } from '../../engine/editor-service.ts'
import { CodeActionKind } from '../protocol.ts'
import type { CodeAction, CodeActionParams, Diagnostic, TextEdit, WorkspaceEdit } from '../protocol.ts'
import type { Reading } from '../reading.ts'
import type { ServerContext } from '../server-context.ts'

/** Everything that can be mended without changing what the machine does. */
export const fixAllKind = `${CodeActionKind.SourceFixAll}.toolwake`

/** More edits than this are sent as one piece of text: an editor takes that far faster. */
const MOST_EDITS = 2000

/** The sure fixes of the findings at a place, and all safe ones of the program where they are asked for. */
export async function fixActions({ textDocument: { uri }, context: { diagnostics, only } }: CodeActionParams, { client, programs }: ServerContext): Promise<CodeAction[]> {
  const reading = await programs.get(uri)?.current()
  if (reading === undefined) return []
  const editOf = (edits: readonly Edit[]) => workspaceEdit(reading, uri, edits, client.capabilities.workspace?.workspaceEdit?.documentChanges === true)
  const actions: CodeAction[] = []
  if (asksFor(CodeActionKind.QuickFix, only, true)) {
    for (const diagnostic of diagnostics) {
      const finding = findingOf(reading, diagnostic), fix = finding === undefined ? undefined : fixOf(reading.view, finding)
      if (fix === undefined) continue
      actions.push({
        title: `${fix.title} (${fix.keepsMotion ? 'keeps the motion' : 'changes what the machine does'})`,
        kind: CodeActionKind.QuickFix,
        diagnostics: [diagnostic],
        edit: editOf(fix.edits),
        ...fix.keepsMotion && fix.oneByOne !== true ? { isPreferred: true } : {},
      })
    }
  }
  if (asksFor(fixAllKind, only, false)) {
    const edits = safeEdits(reading.view, reading.findings())
    if (edits.length > 0) actions.push({ title: 'Mend all that keeps the motion', kind: fixAllKind, edit: editOf(edits) })
  }
  return actions
}

/** Kinds are trees with dots: who asks for `source` wants `source.fixAll.toolwake` too. */
function asksFor(kind: string, only: readonly string[] | undefined, unasked: boolean): boolean {
  return only === undefined ? unasked : only.some(wanted => wanted === '' || kind === wanted || kind.startsWith(`${wanted}.`))
}

/** The finding as it stands in the text of now, of which the editor shows the diagnostic. */
export function findingOf(reading: Reading, { source, code, range }: Diagnostic): Finding | undefined {
  if (source !== 'toolwake') return undefined
  return reading.findings().find(({ rule, file, span }) => {
    if (rule !== code || file !== undefined) return false
    const start = reading.document.positionAt(span.start)
    return start.line === range.start.line && start.character === range.start.character
  })
}

function workspaceEdit({ document, version, program: { text } }: Reading, uri: string, edits: readonly Edit[], isVersioned: boolean): WorkspaceEdit {
  const ofText = (edits.length > MOST_EDITS ? [joined(text, edits)] : edits).map(({ span, text: newText }): TextEdit => ({
    range: { start: document.positionAt(span.start), end: document.positionAt(span.end) }, newText,
  }))
  return isVersioned ? { documentChanges: [{ textDocument: { uri, version }, edits: ofText }] } : { changes: { [uri]: ofText } }
}

function joined(text: string, edits: readonly Edit[]): Edit {
  const pieces: string[] = [], start = edits[0]?.span.start ?? 0
  let at = start
  for (const { span, text: by } of edits) {
    pieces.push(text.slice(at, span.start), by)
    at = span.end
  }
  return { span: { start, end: at }, text: pieces.join('') }
}
