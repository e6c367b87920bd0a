import { Uri, window } from 'vscode'
import { openComparisonPage } from '../comparison-page.ts'
import { activeProgram } from './active-program.ts'
import type { CommandOptions, CommandTable } from './command-table.ts'
import { longTask } from './long-task.ts'

/** What the program in the editor changes against an earlier one. */
export function compareCommands({ server }: CommandOptions): CommandTable {
  return {
    'toolwake.compareWith': async path => {
      const document = activeProgram()
      if (document === undefined) {
        void window.showInformationMessage('Open the edited program first; then choose the released one to compare it with.')
        return
      }
      const old = typeof path === 'string' ? path : await askProgram(document.uri)
      if (old === undefined) return
      const uri = document.uri.toString()
      const answer = await longTask(server, 'Toolwake: comparing', 'toolwake/compareProgress', uri, token => server.ask('toolwake/compare', { uri, old }, token))
      if (answer !== undefined) await openComparisonPage(document.uri, answer.markdown)
    },
  }
}

async function askProgram(beside: Uri): Promise<string | undefined> {
  const [chosen] = await window.showOpenDialog({
    title: 'The released program, to compare this one with', openLabel: 'Compare', defaultUri: Uri.joinPath(beside, '..'), canSelectMany: false,
  }) ?? []
  return chosen?.fsPath
}
