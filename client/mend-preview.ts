import { posix } from 'node:path'
import { EventEmitter, Range, TabInputTextDiff, Uri, WorkspaceEdit, commands, window, workspace, type Disposable, type Tab, type TextDocument } from 'vscode'
import type { RewriteEdit } from '../shared/protocol/server-messages.ts'
import type { OtherText } from './viewer/other-version.ts'

const scheme = 'toolwake-mended'

/** A mend that has been worked out and is not made yet. */
export interface ProposedMend {
  /** The program whose finding it mends. */
  readonly program: TextDocument
  /** What is changed: the program, or its setup sheet. */
  readonly document: TextDocument
  readonly edits: readonly RewriteEdit[]
  /** The document's whole text with the edits made. */
  readonly text: string
  /** What is done, and the figures after it. */
  readonly words: string
}

/** Shows in the program's viewer how another text would run; no text: the program alone. `line`: where to look, 0-based. */
export type CompareWake = (program: TextDocument, other: OtherText | undefined, line: number) => void

interface ShownMend extends ProposedMend {
  /** What stood there when it was worked out: it is made in that text alone. */
  readonly before: string
  readonly compare: CompareWake
}

/** By the path of the document. */
const shown = new Map<string, ShownMend>()
const changed = new EventEmitter<Uri>()

/** Serves mended texts as read-only documents, and lets go of one when its comparison is closed. */
export function provideMends(): Disposable[] {
  return [
    workspace.registerTextDocumentContentProvider(scheme, {
      onDidChange: changed.event,
      provideTextDocumentContent: ({ path }) => shown.get(path)?.text ?? 'This mend was made or left: ask for it again.',
    }),
    window.tabGroups.onDidChangeTabs(({ closed }) => {
      for (const uri of closed.flatMap(tab => mendedIn(tab) ?? [])) forget(uri)
    }),
  ]
}

/** Lays a mend before the user: its text beside the one that stands, its motions in the viewer. Nothing is changed yet. */
export async function showMend(mend: ProposedMend, compare: CompareWake): Promise<void> {
  const { program, document, words, text, edits } = mend, uri = Uri.from({ scheme, path: document.uri.path }), line = edits[0]?.line ?? 0
  shown.set(uri.path, { ...mend, before: document.getText(), compare })
  changed.fire(uri)
  const viewColumn = window.visibleTextEditors.find(editor => editor.document === program)?.viewColumn
  await commands.executeCommand('vscode.diff', document.uri, uri, `${posix.basename(uri.path)}: as it is ↔ mended`, { preview: false, viewColumn, selection: new Range(line, 0, line, 0) })
  // A longer stick-out leaves every motion as it is.
  if (document === program) compare(program, { name: 'the mended program', text, mend: words }, line)
  void window.showInformationMessage(`${posix.basename(uri.path)}: ${words}`, ...Object.keys(choices)).then(choice => choice === undefined ? undefined : choices[choice]?.(uri))
}

const choices: Readonly<Record<string, (uri: Uri) => unknown>> = {
  'Make This Mend': uri => makeMend(uri),
  'Leave It As It Is': uri => leaveMend(uri),
}

/** Makes the mend that is shown, as one step to undo. `given`: its mended text; else the one in front. */
export async function makeMend(given: unknown): Promise<void> {
  const uri = mendedUri(given), mend = uri === undefined ? undefined : shown.get(uri.path)
  if (uri === undefined || mend === undefined) return
  const { document, before, edits } = mend
  if (document.getText() !== before) throw new Error(`${posix.basename(uri.path)} was changed meanwhile: ask for the mend again.`)
  const edit = new WorkspaceEdit()
  for (const { line, from, lastLine, to, text } of edits) edit.replace(document.uri, new Range(line, from, lastLine, to), text)
  if (!await workspace.applyEdit(edit)) throw new Error('The editor did not take the changes; is the file read-only?')
  await leaveMend(uri)
}

/** Closes the comparison with a mend that is shown; the document stays as it is. */
export async function leaveMend(given: unknown): Promise<void> {
  const uri = mendedUri(given), mend = uri === undefined ? undefined : shown.get(uri.path)
  if (uri === undefined || mend === undefined) return
  const tabs = window.tabGroups.all.flatMap(group => group.tabs).filter(tab => mendedIn(tab)?.path === uri.path), line = mend.edits[0]?.line ?? 0
  await window.showTextDocument(mend.document, { viewColumn: tabs[0]?.group.viewColumn, selection: new Range(line, 0, line, 0) })
  await window.tabGroups.close(tabs)
  forget(uri)
}

function forget({ path }: Uri): void {
  const mend = shown.get(path)
  if (mend === undefined) return
  shown.delete(path)
  if (mend.document === mend.program) mend.compare(mend.program, undefined, mend.edits[0]?.line ?? 0)
}

function mendedUri(given: unknown): Uri | undefined {
  if (given instanceof Uri && given.scheme === scheme) return given
  const tab = window.tabGroups.activeTabGroup.activeTab
  return tab === undefined ? undefined : mendedIn(tab)
}

/** The mended text that a tab compares with. */
function mendedIn({ input }: Tab): Uri | undefined {
  return input instanceof TabInputTextDiff && input.modified.scheme === scheme ? input.modified : undefined
}
