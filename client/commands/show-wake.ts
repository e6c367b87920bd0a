import { window } from 'vscode'
import { activeProgram } from './active-program.ts'
import type { CommandOptions, CommandTable } from './command-table.ts'

export function wakeCommands({ showWake }: CommandOptions): CommandTable {
  return {
    'toolwake.showWake': () => {
      const document = activeProgram()
      if (document !== undefined) showWake(document)
      else void window.showInformationMessage('Open an NC program first: its wake is shown beside it.')
    },
  }
}
