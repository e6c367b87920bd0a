import type { TextDocument, Uri } from 'vscode'
import type { CompareWake } from '../mend-preview.ts'
import type { ServerLink } from '../server-link.ts'

/** What the commands work with. */
export interface CommandOptions {
  readonly server: ServerLink
  /** Where the extension lies. */
  readonly extensionUri: Uri
  readonly showLog: () => void
  /** Opens the viewer of a program. */
  readonly showWake: (document: TextDocument) => void
  readonly compareWake: CompareWake
}

/** Commands by name. What is to be done is asked of the server; here it is only carried out. A failure is shown to the user. */
export type CommandTable = Readonly<Record<string, (...given: readonly unknown[]) => unknown>>
