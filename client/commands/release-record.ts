import { Uri, env, window } from 'vscode'
import { activeProgram } from './active-program.ts'
import type { CommandOptions, CommandTable } from './command-table.ts'
import { longTask } from './long-task.ts'

/** The page that is read, printed and signed before a program is released. */
export function recordCommands({ server }: CommandOptions): CommandTable {
  return {
    'toolwake.writeRecord': async path => {
      const document = activeProgram()
      if (document === undefined) {
        void window.showInformationMessage('Open the program first whose release record is to be written.')
        return
      }
      // The record names the file by the hash of its bytes, so it can only be of what lies on the disk.
      if (document.isDirty && !await document.save()) throw new Error('The program could not be saved, so no record was written.')
      const target = typeof path === 'string' ? Uri.file(path) : await askTarget(document.uri)
      if (target === undefined) return
      const uri = document.uri.toString()
      const answer = await longTask(server, 'Toolwake: writing the release record', 'toolwake/recordProgress', uri, token => server.ask('toolwake/writeRecord', { uri, output: target.fsPath }, token))
      if (answer === undefined || typeof path === 'string') return
      if (await window.showInformationMessage(answer.sentence, 'Open') === 'Open') await env.openExternal(target)
    },
  }
}

function askTarget(program: Uri): Thenable<Uri | undefined> {
  return window.showSaveDialog({
    title: 'Where the release record is to be written', saveLabel: 'Write', filters: { 'Release record': ['html'] },
    defaultUri: program.with({ path: `${program.path.replace(/\.[^./]*$/, '')}.record.html` }),
  })
}
