import type * as vscode from 'vscode'
import type { ServerEvents, ServerRequests, Status } from '../../shared/protocol/server-messages.ts'

/** What the viewer needs of the language client: our own requests and news, nothing else. */
export interface ViewerServer {
  readonly ask: <Name extends keyof ServerRequests>(
    name: Name, params: ServerRequests[Name]['params']) => Promise<ServerRequests[Name]['result']>
  /** Several viewers listen at the same time; each one is to be told. */
  readonly hear: <Name extends keyof ServerEvents>(name: Name, listener: (news: ServerEvents[Name]) => void) => vscode.Disposable
  /** The last news about a program, for a viewer that opens later. */
  readonly lastStatus: (uri: string) => Status | undefined
}
