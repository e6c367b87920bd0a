import { fileLinks, linksOf } from '../../engine/editor-service.ts'
import { pathOf, uriOf } from '../document-path.ts'
import { guardQuestion } from '../guard.ts'
import type { DocumentLink, TextDocument } from '../protocol.ts'
import { rangeOfPlace } from '../program-texts.ts'
import type { ServerContext } from '../server-context.ts'

/** Called programs lead to their files, accepted rules to their pages, which only our extension can show; sheets and machine files to what they name. */
export function registerLinks({ connection, client, offer, log, texts, documents }: ServerContext): void {
  offer(() => ({ documentLinkProvider: { resolveProvider: false } }))
  connection.onDocumentLinks(guardQuestion<{ readonly textDocument: { readonly uri: string } }, DocumentLink[]>('documentLink', log, [], ({ textDocument }) => {
    const program = texts.of(textDocument.uri)
    if (program === undefined) return inputLinks(documents.get(textDocument.uri))
    return linksOf(program, program.findProgram).filter(link => link.kind === 'file' || client.withCommands).map(link => ({
      range: rangeOfPlace(link),
      target: link.kind === 'file' ? uriOf(link.path) : `toolwake-rule:${link.rule}.md`,
      tooltip: link.kind === 'file' ? 'Open the program that is called' : `What ${link.rule} means`,
    }))
  }))
}

/** The files that a sheet or a machine file names. */
function inputLinks(document: TextDocument | undefined): DocumentLink[] {
  const path = document === undefined ? undefined : pathOf(document.uri)
  if (document === undefined || path === undefined) return []
  return fileLinks({ path, text: document.getText() }).map(link => ({
    range: { start: document.positionAt(link.span.start), end: document.positionAt(link.span.end) },
    target: uriOf(link.path),
    tooltip: 'Open the file that is named',
  }))
}
