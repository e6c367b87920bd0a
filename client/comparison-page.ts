import { EventEmitter, Uri, commands, window, workspace, type Disposable } from 'vscode'

const scheme = 'toolwake-comparison'

/** Pages by path, kept as long as the editor runs: each program has one. */
const pages = new Map<string, string>()
const changed = new EventEmitter<Uri>()

/** Serves what a comparison has said as a read-only Markdown document. */
export function provideComparisonPages(): Disposable {
  return workspace.registerTextDocumentContentProvider(scheme, {
    onDidChange: changed.event,
    provideTextDocumentContent: uri => pages.get(uri.path) ?? 'Run the comparison again: this page was not kept.',
  })
}

/** Shows the page beside the program: drawn where the editor can draw Markdown, else as text. */
export async function openComparisonPage(program: Uri, markdown: string): Promise<void> {
  const uri = Uri.from({ scheme, path: `${program.path}.comparison.md` })
  pages.set(uri.path, markdown)
  changed.fire(uri)
  try {
    await commands.executeCommand('markdown.showPreviewToSide', uri)
  } catch {
    // An editor without a Markdown preview shows the words as they are written.
    await window.showTextDocument(uri, { preview: true })
  }
}
