import { Uri, window, workspace } from 'vscode'
import { leaveMend, makeMend, showMend } from '../mend-preview.ts'
import { chooseFinding } from './choose-finding.ts'
import type { CommandOptions, CommandTable } from './command-table.ts'
import { longTask } from './long-task.ts'

/** The mend of one finding: worked out and shown, then made or left. */
export function mendingCommands({ server, compareWake }: CommandOptions): CommandTable {
  return {
    'toolwake.showMend': async (address, rule, line) => {
      const finding = typeof address === 'string' && typeof rule === 'string' && typeof line === 'number'
        ? { document: await workspace.openTextDocument(Uri.parse(address)), rule, line }
        : await chooseFinding('mend')
      if (finding === undefined) return
      const { document: program } = finding, uri = program.uri.toString()
      const answer = await longTask(server, `Toolwake: mending ${finding.rule}`, 'toolwake/mendProgress', uri, token => server.ask('toolwake/mend', { uri, rule: finding.rule, line: finding.line }, token))
      if (answer === undefined) return
      if ('refused' in answer) {
        void window.showWarningMessage(`Nothing was changed. ${answer.refused}`)
        return
      }
      const { version, edits, text, label, description } = answer
      const document = Uri.parse(answer.document).toString() === uri ? program : await workspace.openTextDocument(Uri.parse(answer.document))
      if (version !== undefined && version !== document.version) throw new Error('The program was changed meanwhile; please ask for the mend again.')
      await showMend({ program, document, edits, text, words: `${label}; ${description}` }, compareWake)
    },
    'toolwake.makeMend': makeMend,
    'toolwake.leaveMend': leaveMend,
  }
}
