import { workspace, type Disposable } from 'vscode'
import type { ServerLink } from './server-link.ts'

/** Tells the server when the user trusts the folder: files outside it that a sheet names may then be read. */
export function tellTrust(server: ServerLink): Disposable {
  return workspace.onDidGrantWorkspaceTrust(() => void server.ask('toolwake/allowFile', {}))
}
