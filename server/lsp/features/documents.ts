import { pathOf } from '../document-path.ts'
import { guardNews } from '../guard.ts'
import { TextDocumentSyncKind, type TextDocument } from '../protocol.ts'
import type { ServerContext } from '../server-context.ts'

/** Follows what is opened, typed, saved and closed, and keeps the findings of every open program up to date. */
export function registerDocuments({ documents, programs, offer, log, settings, scenes, buffers, texts, openProgram, filesChanged }: ServerContext): void {
  offer(() => ({ textDocumentSync: { openClose: true, change: TextDocumentSyncKind.Incremental, save: true } }))

  /** What is typed into a program shows in those that call it. */
  const tellCallers = (path: string | undefined) => {
    if (path !== undefined) for (const checks of programs.values()) checks.filesChanged([path])
  }

  documents.onDidOpen(guardNews('didOpen', log, ({ document }) => {
    if (isInput(document)) return
    openProgram(document).checkAgain()
    // A program can come back with what was typed into it and not saved.
    tellCallers(pathOf(document.uri))
  }))
  documents.onDidChangeContent(guardNews('didChange', log, async ({ document }) => {
    const path = pathOf(document.uri)
    if (isInput(document) && path !== undefined) return filesChanged([path])
    // The first content change comes with the opening, which has begun the check already.
    if (document.version === programs.get(document.uri)?.openedAt) return
    programs.get(document.uri)?.edited()
    tellCallers(path)
  }))
  documents.onDidSave(guardNews('didSave', log, ({ document }) => programs.get(document.uri)?.saved()))
  documents.onDidClose(guardNews('didClose', log, async ({ document }) => {
    const path = pathOf(document.uri)
    // What was typed into a sheet and not saved is gone with its tab.
    if (isInput(document) && path !== undefined) return filesChanged([path])
    programs.get(document.uri)?.close()
    programs.delete(document.uri)
    settings.forget(document.uri)
    buffers.forget(document.uri)
    texts.forget(document.uri)
    scenes.release(document.uri)
    tellCallers(path)
  }))
}

/** Setup sheets and machine files are held open too, so that a check follows what is typed into them. */
function isInput({ uri }: TextDocument): boolean {
  return /\.(?:setup|machine)\.json$/i.test(uri)
}
