import type { CancellationToken, Disposable } from 'vscode'
import type { ServerEvents, ServerRequests, Status } from '../shared/protocol/server-messages.ts'

/** What the rest of the client knows of the language server: our own questions and news, by name. */
export interface ServerLink {
  /** Rejects with the server's sentence when it could not answer. */
  readonly ask: <Name extends keyof ServerRequests>(
    name: Name, params: ServerRequests[Name]['params'], token?: CancellationToken) => Promise<ServerRequests[Name]['result']>
  /** Every listener is told, until it is disposed of. */
  readonly hear: <Name extends keyof ServerEvents>(name: Name, listener: (news: ServerEvents[Name]) => void) => Disposable
  /** The last news about a program, for whoever comes later. */
  readonly lastStatus: (uri: string) => Status | undefined
  readonly stop: () => Promise<void>
}
