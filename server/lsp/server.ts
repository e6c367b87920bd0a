import { registerAcceptance } from './features/acceptance.ts'
import { registerCallHierarchy } from './features/call-hierarchy.ts'
import { registerCheckAgain } from './features/check-again.ts'
import { registerClearanceMarks } from './features/clearance-marks.ts'
import { registerCompare } from './features/compare.ts'
import { registerCompletion } from './features/completion.ts'
import { registerDefinitions } from './features/definitions.ts'
import { registerDocuments } from './features/documents.ts'
import { registerFindingActions } from './features/finding-actions.ts'
import { registerHover } from './features/hover.ts'
import { registerInlayHints } from './features/inlay-hints.ts'
import { registerKeptResults } from './features/kept-results.ts'
import { registerLifecycle } from './features/lifecycle.ts'
import { registerLinks } from './features/links.ts'
import { registerLookAt } from './features/look-at.ts'
import { registerMending } from './features/mending.ts'
import { registerRefreshing } from './features/refreshing.ts'
import { registerReleaseRecord } from './features/release-record.ts'
import { registerRename } from './features/rename.ts'
import { registerRewriting } from './features/rewriting.ts'
import { registerRulePage } from './features/rule-page.ts'
import { registerSelectionRanges } from './features/selection-ranges.ts'
import { registerSemanticTokens } from './features/semantic-tokens.ts'
import { registerSetupSheet } from './features/setup-sheet.ts'
import { registerSignatureHelp } from './features/signature-help.ts'
import { registerSymbols } from './features/symbols.ts'
import { registerToolLenses } from './features/tool-lenses.ts'
import { registerStockAt } from './features/stock-at.ts'
import { registerViewer } from './features/viewer.ts'
import { registerOutsideFiles } from './features/outside-files.ts'
import { registerWorkspace } from './features/workspace.ts'
import type { Connection } from './protocol.ts'
import { openContext, type ServerContext } from './server-context.ts'

/** What the server does, each in a file of its own. Every handler is guarded: a failing request is logged and answered. */
const features: readonly ((context: ServerContext) => void)[] = [
  registerLifecycle,
  registerWorkspace,
  registerDocuments,
  registerHover,
  registerMending,
  registerCompletion,
  registerSignatureHelp,
  registerSymbols,
  registerDefinitions,
  registerRename,
  registerLinks,
  registerSelectionRanges,
  registerCallHierarchy,
  registerSemanticTokens,
  registerInlayHints,
  registerToolLenses,
  registerClearanceMarks,
  registerRewriting,
  registerRefreshing,
  registerFindingActions,
  registerStockAt,
  registerViewer,
  registerRulePage,
  registerSetupSheet,
  registerOutsideFiles,
  registerCompare,
  registerReleaseRecord,
  registerCheckAgain,
  registerKeptResults,
  registerLookAt,
  registerAcceptance,
]

/** Registers every feature on the connection and begins to listen. */
export function serve(connection: Connection): void {
  const context = openContext(connection)
  for (const register of features) register(context)
  context.documents.listen(connection)
  connection.listen()
}
