import { window, type ExtensionContext } from 'vscode'
import type { Status } from '../shared/protocol/server-messages.ts'
import { provideCheckTasks } from './check-task.ts'
import { showClearances } from './clearance-gutter.ts'
import { registerCommands } from './commands.ts'
import { provideComparisonPages } from './comparison-page.ts'
import { startServer } from './language-client.ts'
import { provideMends } from './mend-preview.ts'
import { openRulePage, provideRulePages } from './rule-page.ts'
import type { ServerLink } from './server-link.ts'
import { showStatus } from './status.ts'
import { tellCursor } from './tell-cursor.ts'
import { tellTrust } from './trust.ts'
import { compareInViewer, openViewer, type ViewerOptions } from './viewer/open-viewer.ts'

/** What the extension offers to others, its own tests among them. */
export interface ToolwakeApi {
  /** The last status the server told of a program. */
  readonly statusOf: (uri: string) => Status | undefined
}

let server: ServerLink | undefined

export async function activate(context: ExtensionContext): Promise<ToolwakeApi> {
  const log = window.createOutputChannel('Toolwake', { log: true })
  context.subscriptions.push(log)
  const link = await startServer(context, log)
  server = link
  const viewers: ViewerOptions = {
    extensionUri: context.extensionUri,
    server: link,
    open: new Map(),
    showRule: rule => void openRulePage(rule),
    log: line => log.info(line),
  }
  context.subscriptions.push(
    showStatus(link),
    showClearances(link, context.extensionUri, line => log.error(line)),
    tellCursor(link),
    tellTrust(link),
    provideRulePages(link),
    provideComparisonPages(),
    ...provideMends(),
    provideCheckTasks(context.extensionUri),
    ...registerCommands({
      server: link,
      extensionUri: context.extensionUri,
      showLog: () => log.show(),
      showWake: document => openViewer(document, viewers),
      compareWake: (document, other, line) => compareInViewer(document, other, line, viewers),
    }),
  )
  return { statusOf: link.lastStatus }
}

export async function deactivate(): Promise<void> {
  await server?.stop()
}
