import { Position, Uri, WorkspaceEdit, languages, window, workspace, type Diagnostic, type TextDocument } from 'vscode'
import { openRulePage } from '../rule-page.ts'
import type { ServerLink } from '../server-link.ts'
import { activeProgram } from './active-program.ts'
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

interface ChosenFinding {
  readonly document: TextDocument
  readonly rule: string
  readonly line: number
}

/** The finding under the cursor; the user picks where there are several. */
async function chooseFinding(verb: string): Promise<ChosenFinding | undefined> {
  const document = activeProgram()
  const at = window.activeTextEditor?.selection.active
  if (document === undefined || at === undefined) return undefined
  const onLine = languages.getDiagnostics(document.uri)
    .filter(one => one.source === 'toolwake' && one.range.start.line <= at.line && one.range.end.line >= at.line)
  const under = onLine.filter(one => one.range.contains(at))
  const near = under.length > 0 ? under : onLine
  const chosen = near.length <= 1 ? near[0] : (await window.showQuickPick(
    near.map(one => ({ label: ruleIn(one), detail: one.message, one })), { placeHolder: `Which finding to ${verb}?` }))?.one
  if (chosen === undefined) {
    if (near.length === 0) void window.showInformationMessage('There is no finding on this line.')
    return undefined
  }
  return { document, rule: ruleIn(chosen), line: chosen.range.start.line }
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

function ruleIn(diagnostic: Diagnostic): string {
  const { code } = diagnostic
  return String(typeof code === 'object' ? code.value : code)
}
