import { guardQuestion } from '../guard.ts'
import { CodeActionKind, DiagnosticSeverity } from '../protocol.ts'
import type { CodeAction, CodeActionParams } from '../protocol.ts'
import type { ServerContext } from '../server-context.ts'
import { mendActions } from './mending.ts'
import { outsideActions } from './outside-files.ts'
import { fixActions, fixAllKind } from './quick-fixes.ts'
import { sheetActions } from './sheet-fixes.ts'

/** What the editor offers at a finding: its fix, a mend of the path, what the sheet lacks or allows, its page, a comment that accepts it. */
export function registerFindingActions(context: ServerContext): void {
  const { connection, offer, log } = context
  offer(() => ({ codeActionProvider: { codeActionKinds: [CodeActionKind.QuickFix, fixAllKind], resolveProvider: true } }))
  connection.onCodeAction(guardQuestion<CodeActionParams, CodeAction[]>('codeAction', log, [], async params =>
    [...await fixActions(params, context), ...mendActions(params, context), ...await sheetActions(params, context), ...outsideActions(params, context), ...findingActions(params, context)]))
}

/** They are about the program as a whole: no comment above a block covers them, and the remedy is a sheet. */
const ofWholeProgram: ReadonlySet<string> = new Set(['setup-not-found', 'several-setups'])

/** Its rule's page and, in a program, to accept it with a reason. They are commands of our extension, so other clients are not offered them. */
function findingActions({ textDocument, context: { diagnostics } }: CodeActionParams, { client, programs }: ServerContext): CodeAction[] {
  if (!client.withCommands) return []
  return diagnostics.filter(one => one.source === 'toolwake').flatMap((diagnostic): CodeAction[] => {
    const rule = String(diagnostic.code)
    const action = (title: string, command: string, given: readonly unknown[]): CodeAction => ({
      title,
      kind: CodeActionKind.QuickFix,
      diagnostics: [diagnostic],
      command: { title, command, arguments: [...given] },
    })
    const explain = action(`Explain ${rule}`, 'toolwake.explainFinding', [rule])
    const start = rule === 'setup-not-found' ? [action('Start a setup sheet for this program', 'toolwake.startSetupSheet', [textDocument.uri])]
      : rule === 'several-setups' ? [action('Choose the setup sheet of this program…', 'toolwake.chooseSetupSheet', [textDocument.uri])] : []
    // What is accepted already is shown as a hint.
    if (!programs.has(textDocument.uri) || diagnostic.severity === DiagnosticSeverity.Hint) return [explain]
    if (ofWholeProgram.has(rule)) return [...start, explain]
    return [explain, action(`Accept ${rule} with a reason…`, 'toolwake.acceptFinding', [textDocument.uri, rule, diagnostic.range.start.line])]
  })
}
