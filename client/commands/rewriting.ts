import { Range, Uri, WorkspaceEdit, window, workspace, type CancellationToken, type TextDocument } from 'vscode'
import type { RewriteAnswer } from '../../shared/protocol/server-messages.ts'
import type { ServerLink } from '../server-link.ts'
import { activeProgram } from './active-program.ts'
import type { CommandOptions, CommandTable } from './command-table.ts'
import { longTask } from './long-task.ts'

/** Commands that rewrite a program without changing a motion. They run when they are asked for and never by themselves. */
export function rewritingCommands({ server }: CommandOptions): CommandTable {
  return {
    'toolwake.tidyProgram': async () => {
      const document = activeProgram()
      if (document === undefined) return
      const uri = document.uri.toString()
      const answer = await withProgress(server, document, 'Toolwake: setting the words apart', token => server.ask('toolwake/tidy', { uri }, token))
      if (answer !== undefined) await apply(document, answer, 'The blanks and letters of this program are in order already.')
    },
    'toolwake.renumberProgram': async (start, step, every) => {
      const document = activeProgram()
      if (document === undefined) return
      const wanted = typeof start === 'number' && typeof step === 'number' ? { start, step, every: every === true } : await askNumbering()
      if (wanted === undefined) return
      const uri = document.uri.toString()
      const answer = await withProgress(server, document, 'Toolwake: renumbering', token => server.ask('toolwake/renumber', { uri, ...wanted }, token))
      if (answer !== undefined) await apply(document, answer, 'The blocks of this program have these numbers already.')
    },
  }
}

/** Lines from which on a rewriting takes long enough to be told of. */
const MANY_LINES = 20_000

/** Undefined where the user stopped it. */
function withProgress(server: ServerLink, document: TextDocument, title: string, ask: (token?: CancellationToken) => Promise<RewriteAnswer>): Promise<RewriteAnswer | undefined> {
  return document.lineCount < MANY_LINES ? ask() : longTask(server, title, 'toolwake/rewriteProgress', document.uri.toString(), ask)
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
