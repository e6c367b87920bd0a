import { commands, window, type Disposable } from 'vscode'
import { sentenceOf } from '../shared/protocol/channel.ts'
import { fileCommands } from './commands/check-files.ts'
import type { CommandOptions } from './commands/command-table.ts'
import { chooseSheetCommands } from './commands/choose-sheet.ts'
import { compareCommands } from './commands/compare.ts'
import { findingCommands } from './commands/findings.ts'
import { mendingCommands } from './commands/mending.ts'
import { recordCommands } from './commands/release-record.ts'
import { rewritingCommands } from './commands/rewriting.ts'
import { sampleCommands } from './commands/samples.ts'
import { setupSheetCommands } from './commands/setup-sheet.ts'
import { wakeCommands } from './commands/show-wake.ts'

/** Groups of commands, each in a file of its own. */
const groups = [wakeCommands, findingCommands, mendingCommands, fileCommands, compareCommands, recordCommands, rewritingCommands, sampleCommands, setupSheetCommands, chooseSheetCommands]

/** Registers every command; one that fails says so to the user. */
export function registerCommands(options: CommandOptions): Disposable[] {
  return groups.flatMap(group => Object.entries(group(options))).map(([name, run]) =>
    commands.registerCommand(name, async (...given: readonly unknown[]) => {
      try {
        await run(...given)
      } catch (error) {
        void window.showErrorMessage(`Toolwake: ${sentenceOf(error)}`)
      }
    }))
}
