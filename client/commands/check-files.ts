import { Uri, window } from 'vscode'
import { activeProgram } from './active-program.ts'
import type { CommandOptions, CommandTable } from './command-table.ts'

/** Commands about the files a check is made from, and what the server wrote down on the way. */
export function fileCommands({ server, showLog }: CommandOptions): CommandTable {
  return {
    'toolwake.openSetupSheet': async () => {
      const document = activeProgram()
      if (document === undefined) return
      const { path } = await server.ask('toolwake/setupSheet', { uri: document.uri.toString() })
      if (path !== undefined) await window.showTextDocument(Uri.file(path))
      else void window.showInformationMessage('No setup sheet belongs to this program, so it is read as text only. Put a file NAME.setup.json beside it whose "programs" names it.')
    },
    'toolwake.checkAgain': () => server.ask('toolwake/checkAgain', {}),
    'toolwake.clearKept': async () => {
      const { files, bytes } = await server.ask('toolwake/clearKept', {})
      void window.showInformationMessage(files === 0 ? 'Toolwake has kept no results.' : `${files} kept results with ${Math.ceil(bytes / 2 ** 20)} MB were removed.`)
    },
    'toolwake.allowFile': async path => {
      if (typeof path === 'string') await server.ask('toolwake/allowFile', { path })
    },
    'toolwake.showLog': showLog,
  }
}
