import { Disposable, Range, Uri, window, workspace, type TextEditor, type TextEditorDecorationType } from 'vscode'
import type { ClearanceMark } from '../shared/protocol/server-messages.ts'
import { isProgram } from './language-client.ts'
import type { ServerLink } from './server-link.ts'

/** Marks are asked for at most this often in one editor while it scrolls or a search runs, ms. */
const PAUSE = 120

/** Lines beside those on the screen that are marked too, so that a small scroll shows nothing bare. */
const MARGIN = 60

const marks: readonly ClearanceMark[] = ['broken', 'open', 'near', 'kept', 'unknown']

/** Marks beside the text how each block stands against its limits: by shape first, by colour as well. */
export function showClearances(server: ServerLink, extensionUri: Uri, log: (line: string) => void): Disposable {
  const types = new Map(marks.map(mark => [mark, decorationOf(extensionUri, mark)]))
  const waiting = new Map<TextEditor, NodeJS.Timeout>()

  const draw = async (editor: TextEditor): Promise<void> => {
    const { document, visibleRanges } = editor, lines = new Map(marks.map(mark => [mark, [] as Range[]]))
    if (!isProgram(document)) return
    if (workspace.getConfiguration('toolwake', document).get('clearanceMarks') === true && visibleRanges.length > 0) {
      const first = Math.max(0, Math.min(...visibleRanges.map(range => range.start.line)) - MARGIN)
      const last = Math.min(document.lineCount - 1, Math.max(...visibleRanges.map(range => range.end.line)) + MARGIN)
      const answer = await server.ask('toolwake/clearanceMarks', { uri: document.uri.toString(), first, last })
      // Of a text that has changed since, the next answer will tell.
      if (answer.version !== document.version) return
      for (const { line, mark } of answer.marks) lines.get(mark)?.push(new Range(line, 0, line, 0))
    }
    for (const [mark, type] of types) editor.setDecorations(type, lines.get(mark) ?? [])
  }
  const drawSoon = (editor: TextEditor): void => {
    if (waiting.has(editor)) return
    waiting.set(editor, setTimeout(() => {
      waiting.delete(editor)
      if (window.visibleTextEditors.includes(editor)) draw(editor).catch((error: unknown) => log(`The marks beside the text were not drawn: ${String(error)}`))
    }, PAUSE))
  }
  const drawAll = (uri?: string): void => {
    for (const editor of window.visibleTextEditors) if (uri === undefined || editor.document.uri.toString() === uri) drawSoon(editor)
  }

  drawAll()
  return Disposable.from(
    ...types.values(),
    server.hear('toolwake/sceneChanged', ({ uri }) => drawAll(uri)),
    server.hear('toolwake/status', ({ uri }) => drawAll(uri)),
    window.onDidChangeVisibleTextEditors(() => drawAll()),
    window.onDidChangeTextEditorVisibleRanges(({ textEditor }) => drawSoon(textEditor)),
    workspace.onDidChangeConfiguration(change => { if (change.affectsConfiguration('toolwake.clearanceMarks')) drawAll() }),
    new Disposable(() => { for (const timer of waiting.values()) clearTimeout(timer) }),
  )
}

function decorationOf(extensionUri: Uri, mark: ClearanceMark): TextEditorDecorationType {
  const icon = (theme: string) => ({ gutterIconPath: Uri.joinPath(extensionUri, 'client', 'icon', `mark-${mark}-${theme}.svg`), gutterIconSize: 'contain' })
  return window.createTextEditorDecorationType({ light: icon('light'), dark: icon('dark') })
}
