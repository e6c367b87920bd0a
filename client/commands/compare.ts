import { ProgressLocation, Uri, window } from 'vscode'
import { openComparisonPage } from '../comparison-page.ts'
import { activeProgram } from './active-program.ts'
import type { CommandOptions, CommandTable } from './command-table.ts'

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
      const answer = await window.withProgress({ location: ProgressLocation.Notification, title: 'Toolwake: comparing', cancellable: true }, async (progress, token) => {
        let told = 0
        const hearing = server.hear('toolwake/compareProgress', ({ uri: about, share }) => {
          if (about !== uri) return
          progress.report({ message: `${Math.floor(share * 100)} %`, increment: Math.max(0, share * 100 - told) })
          told = Math.max(told, share * 100)
        })
        try {
          return await server.ask('toolwake/compare', { uri, old }, token)
        } catch (error) {
          if (token.isCancellationRequested) return undefined
          throw error
        } finally {
          hearing.dispose()
        }
      })
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
