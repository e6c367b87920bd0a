import { pathOf } from '../document-path.ts'
import { guardNews } from '../guard.ts'
import { isInputUri } from '../input-checks.ts'
import { TextDocumentSyncKind } from '../protocol.ts'
import type { ServerContext } from '../server-context.ts'

/** Follows what is opened, typed, saved and closed, and keeps the findings of every open program up to date. */
export function registerDocuments({ documents, programs, inputs, offer, log, settings, scenes, buffers, texts, openProgram, openInput, filesChanged }: ServerContext): void {
  offer(() => ({ textDocumentSync: { openClose: true, change: TextDocumentSyncKind.Incremental, save: true } }))

  /** What is typed into a program shows in those that call it. */
  const tellCallers = (path: string | undefined) => {
    if (path !== undefined) for (const checks of programs.values()) checks.filesChanged([path])
  }

  documents.onDidOpen(guardNews('didOpen', log, ({ document }) => {
    if (isInputUri(document.uri)) {
      const path = pathOf(document.uri)
      if (path !== undefined) openInput(document, path).checkAgain()
      return
    }
    openProgram(document).checkAgain()
    // A program can come back with what was typed into it and not saved.
    tellCallers(pathOf(document.uri))
  }))
  documents.onDidChangeContent(guardNews('didChange', log, async ({ document }) => {
    const path = pathOf(document.uri)
    if (isInputUri(document.uri) && path !== undefined) return filesChanged([path])
    // The first content change comes with the opening, which has begun the check already.
    if (document.version === programs.get(document.uri)?.openedAt) return
    programs.get(document.uri)?.edited()
    tellCallers(path)
  }))
  documents.onDidSave(guardNews('didSave', log, ({ document }) => programs.get(document.uri)?.saved()))
  documents.onDidClose(guardNews('didClose', log, async ({ document }) => {
    const path = pathOf(document.uri)
    // What was typed into a sheet and not saved is gone with its tab.
    if (isInputUri(document.uri) && path !== undefined) {
      inputs.get(document.uri)?.close()
      inputs.delete(document.uri)
      settings.forget(document.uri)
      return filesChanged([path])
    }
    programs.get(document.uri)?.close()
    programs.delete(document.uri)
    settings.forget(document.uri)
    buffers.forget(document.uri)
    texts.forget(document.uri)
    scenes.release(document.uri)
    tellCallers(path)
  }))
}
