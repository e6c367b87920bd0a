import { Range, Uri, WorkspaceEdit, window, workspace, type TextDocument } from 'vscode'
import type { RewriteAnswer } from '../../shared/protocol/server-messages.ts'
import { activeProgram } from './active-program.ts'
import type { CommandOptions, CommandTable } from './command-table.ts'

/** Commands that rewrite a program without changing a motion. They run when they are asked for and never by themselves. */
export function rewritingCommands({ server }: CommandOptions): CommandTable {
  return {
    'toolwake.tidyProgram': async () => {
      const document = activeProgram()
      if (document !== undefined) await apply(document, await server.ask('toolwake/tidy', { uri: document.uri.toString() }), 'The blanks and letters of this program are in order already.')
    },
    'toolwake.renumberProgram': async (start, step, every) => {
      const document = activeProgram()
      if (document === undefined) return
      const wanted = typeof start === 'number' && typeof step === 'number' ? { start, step, every: every === true } : await askNumbering()
      if (wanted === undefined) return
      await apply(document, await server.ask('toolwake/renumber', { uri: document.uri.toString(), ...wanted }), 'The blocks of this program have these numbers already.')
    },
  }
}

async function apply(document: TextDocument, { version, edits, refused }: RewriteAnswer, nothing: string): Promise<void> {
  if (refused !== undefined) {
    void window.showWarningMessage(`Nothing was changed. ${refused}`)
    return
  }
  if (edits.length === 0) {
    void window.showInformationMessage(nothing)
    return
  }
  if (version !== document.version) throw new Error('The program was changed meanwhile; please run the command again.')
  const edit = new WorkspaceEdit()
  for (const { uri, line, from, lastLine, to, text } of edits) edit.replace(Uri.parse(uri), new Range(line, from, lastLine, to), text)
  if (!await workspace.applyEdit(edit)) throw new Error('The editor did not take the changes; is the file read-only?')
}

/** Undefined where the user breaks off. */
async function askNumbering(): Promise<{ start: number, step: number, every: boolean } | undefined> {
  const which = await window.showQuickPick([
    { label: 'Blocks that have a number', every: false },
    { label: 'Every block', every: true },
  ], { title: 'Renumber the Blocks', placeHolder: 'Which blocks get a new number?' })
  if (which === undefined) return undefined
  const numbers = await window.showInputBox({
    title: 'Renumber the Blocks', prompt: 'Number of the first block, and the step to the next.', value: '10 10',
    validateInput: text => /^\s*\d+\s+[1-9]\d*\s*$/.test(text) ? undefined : 'Two whole numbers with a blank between them, for example 10 10.',
  })
  const [start, step] = numbers?.trim().split(/\s+/).map(Number) ?? []
  return start === undefined || step === undefined ? undefined : { start, step, every: which.every }
}
