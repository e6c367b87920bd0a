import { window, type Disposable } from 'vscode'
import { isProgram } from './language-client.ts'
import type { ServerLink } from './server-link.ts'

/** A cursor that rests this long is looked at, ms. */
const rest = 200

/** Tells the server where the cursor rests: a search begins with the blocks around it. */
export function tellCursor(server: ServerLink): Disposable {
  let timer: NodeJS.Timeout | undefined
  const listening = window.onDidChangeTextEditorSelection(({ textEditor: { document }, selections: [selection] }) => {
    if (!isProgram(document) || selection === undefined) return
    clearTimeout(timer)
    // The search begins at the top where this cannot be told: nothing is lost by that.
    timer = setTimeout(() => void server.ask('toolwake/lookAt', { uri: document.uri.toString(), line: selection.active.line }).catch(() => undefined), rest)
  })
  return {
    dispose: () => {
      clearTimeout(timer)
      listening.dispose()
    },
  }
}
