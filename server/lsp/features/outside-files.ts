import { CodeActionKind } from '../protocol.ts'
import type { CodeAction, CodeActionParams, Diagnostic } from '../protocol.ts'
import type { ServerContext } from '../server-context.ts'

/** Hears that a file outside the open folders, or all of them, may be read. */
export function registerOutsideFiles({ answer, outside, scenes, checkAll }: ServerContext): void {
  answer('toolwake/allowFile', ({ path }) => {
    outside.allow(path)
    scenes.forgetAll()
    checkAll()
    return {}
  })
}

/** Consent to a file that was left alone, at the finding that says so. A command of our extension gives it, so other clients are not offered it. */
export function outsideActions({ context: { diagnostics } }: CodeActionParams, { client, outside }: ServerContext): CodeAction[] {
  if (!client.withCommands) return []
  return diagnostics.flatMap(diagnostic => outside.refused.filter(path => diagnostic.source === 'toolwake' && wordsOf(diagnostic).includes(` ${path} `)).map((path): CodeAction => {
    const title = `Read ${path} until the editor closes`
    return { title, kind: CodeActionKind.QuickFix, diagnostics: [diagnostic], command: { title, command: 'toolwake.allowFile', arguments: [path] } }
  }))
}

function wordsOf({ message }: Diagnostic): string {
  return typeof message === 'string' ? message : message.value
}
