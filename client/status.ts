import { basename } from 'node:path'
import { MarkdownString, StatusBarAlignment, ThemeColor, window, type Disposable } from 'vscode'
import type { Status } from '../shared/protocol/server-messages.ts'
import { isProgram } from './language-client.ts'
import type { ServerLink } from './server-link.ts'

/** The item in the status bar: how far the work on the program in the active editor is. */
export function showStatus(server: ServerLink): Disposable {
  const item = window.createStatusBarItem('toolwake.status', StatusBarAlignment.Left, 10)
  item.name = 'Toolwake'
  item.command = 'toolwake.showLog'

  function draw(): void {
    const document = window.activeTextEditor?.document
    const status = document !== undefined && isProgram(document) ? server.lastStatus(document.uri.toString()) : undefined
    if (status === undefined) {
      item.hide()
      return
    }
    item.text = textOf(status)
    item.tooltip = tooltipOf(status)
    item.backgroundColor = status.phase === 'failed' ? new ThemeColor('statusBarItem.warningBackground') : undefined
    item.show()
  }

  const news = server.hear('toolwake/status', draw)
  const editors = window.onDidChangeActiveTextEditor(draw)
  draw()
  return {
    dispose: () => {
      news.dispose()
      editors.dispose()
      item.dispose()
    },
  }
}

/** What is known, and the sheet it was found with; another can be chosen from there. */
function tooltipOf({ message, sheet }: Status): MarkdownString {
  const tooltip = new MarkdownString()
  // No other command may stand in words that a file has given.
  tooltip.isTrusted = { enabledCommands: ['toolwake.chooseSetupSheet'] }
  tooltip.appendText(`Toolwake: ${message}`)
  if (sheet === undefined) return tooltip
  tooltip.appendMarkdown('\n\n')
  tooltip.appendText(`Setup sheet: ${basename(sheet)}`)
  return tooltip.appendMarkdown(' · [choose another](command:toolwake.chooseSetupSheet)')
}

function textOf(status: Status): string {
  if (status.phase === 'searching' && status.total > 0) {
    const percent = Math.min(99, Math.floor(100 * status.done / status.total))
    return `$(sync~spin) Toolwake ${percent} %`
  }
  if (status.phase === 'done') return `$(check) ${status.message}`
  if (status.phase === 'failed') return `$(warning) ${status.message}`
  return `$(sync~spin) Toolwake: ${status.message}`
}
