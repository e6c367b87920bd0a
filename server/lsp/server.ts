import { registerAcceptance } from './features/acceptance.ts'
import { registerCheckAgain } from './features/check-again.ts'
import { registerDocuments } from './features/documents.ts'
import { registerFindingActions } from './features/finding-actions.ts'
import { registerHover } from './features/hover.ts'
import { registerLifecycle } from './features/lifecycle.ts'
import { registerRulePage } from './features/rule-page.ts'
import { registerSetupSheet } from './features/setup-sheet.ts'
import { registerViewer } from './features/viewer.ts'
import { registerWorkspace } from './features/workspace.ts'
import type { Connection } from './protocol.ts'
import { openContext, type ServerContext } from './server-context.ts'

/** What the server does, each in a file of its own. Every handler is guarded: a failing request is logged and answered. */
const features: readonly ((context: ServerContext) => void)[] = [
  registerLifecycle,
  registerWorkspace,
  registerDocuments,
  registerHover,
  registerFindingActions,
  registerViewer,
  registerRulePage,
  registerSetupSheet,
  registerCheckAgain,
  registerAcceptance,
]

/** Registers every feature on the connection and begins to listen. */
export function serve(connection: Connection): void {
  const context = openContext(connection)
  for (const register of features) register(context)
  context.documents.listen(connection)
  connection.listen()
}
