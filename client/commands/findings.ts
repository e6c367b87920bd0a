import { Position, Uri, WorkspaceEdit, window, workspace } from 'vscode'
import { openRulePage } from '../rule-page.ts'
import type { ServerLink } from '../server-link.ts'
import { chooseFinding, type ChosenFinding } from './choose-finding.ts'
import type { CommandOptions, CommandTable } from './command-table.ts'

/** Commands about one finding: given by a quick fix, else the one under the cursor. */
export function findingCommands({ server }: CommandOptions): CommandTable {
  return {
    'toolwake.explainFinding': async rule => {
      const wanted = typeof rule === 'string' ? rule : (await chooseFinding('explain'))?.rule
      if (wanted !== undefined) await openRulePage(wanted)
    },
    'toolwake.acceptFinding': async (uri, rule, line) => {
      const finding = typeof uri === 'string' && typeof rule === 'string' && typeof line === 'number'
        ? { document: await workspace.openTextDocument(Uri.parse(uri)), rule, line }
        : await chooseFinding('accept')
      if (finding !== undefined) await acceptFinding(server, finding)
    },
  }
}

async function acceptFinding(server: ServerLink, { document, rule, line }: ChosenFinding): Promise<void> {
  const reason = await window.showInputBox({
    title: `Accept ${rule}`,
    prompt: 'Why is this finding acceptable? The words go into the program as a comment.',
    validateInput: text => text.trim() === '' ? 'A reason is needed: without one the comment is itself a finding.' : undefined,
  })
  if (reason === undefined) return
  const answer = await server.ask('toolwake/acceptance', { uri: document.uri.toString(), rule, line, reason })
  if (answer.version !== document.version) throw new Error('The program was changed meanwhile; please accept the finding again.')
  const edit = new WorkspaceEdit()
  edit.insert(document.uri, new Position(answer.line, answer.character), answer.text)
  await workspace.applyEdit(edit)
}
