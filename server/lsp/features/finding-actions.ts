import { guardQuestion } from '../guard.ts'
import { CodeActionKind, DiagnosticSeverity } from '../protocol.ts'
import type { CodeAction, CodeActionParams } from '../protocol.ts'
import type { ServerContext } from '../server-context.ts'
import { mendActions } from './mending.ts'

/** What the editor offers at a finding. They are commands of our extension, so other clients are not offered them. */
export function registerFindingActions(context: ServerContext): void {
  const { connection, offer, log, programs } = context
  offer(({ withCommands }) => withCommands ? { codeActionProvider: { codeActionKinds: [CodeActionKind.QuickFix], resolveProvider: true } } : {})
  connection.onCodeAction(guardQuestion<CodeActionParams, CodeAction[]>('codeAction', log, [], params =>
    [...mendActions(params, context), ...findingActions(params, programs.has(params.textDocument.uri))]))
}

/** Its rule's page and, in a program, to accept it with a reason. */
function findingActions({ textDocument, context }: CodeActionParams, isProgram: boolean): CodeAction[] {
  return context.diagnostics.filter(one => one.source === 'toolwake').flatMap((diagnostic): CodeAction[] => {
    const rule = String(diagnostic.code)
    const action = (title: string, command: string, given: readonly unknown[]): CodeAction => ({
      title,
      kind: CodeActionKind.QuickFix,
      diagnostics: [diagnostic],
      command: { title, command, arguments: [...given] },
    })
    const explain = action(`Explain ${rule}`, 'toolwake.explainFinding', [rule])
    // What is accepted already is shown as a hint.
    if (!isProgram || diagnostic.severity === DiagnosticSeverity.Hint) return [explain]
    return [explain, action(`Accept ${rule} with a reason…`, 'toolwake.acceptFinding', [textDocument.uri, rule, diagnostic.range.start.line])]
  })
}
