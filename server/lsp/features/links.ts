import { linksOf } from '../../engine/editor-service.ts'
import { uriOf } from '../document-path.ts'
import { guardQuestion } from '../guard.ts'
import type { DocumentLink } from '../protocol.ts'
import { rangeOfPlace } from '../program-texts.ts'
import type { ServerContext } from '../server-context.ts'

/** Called programs lead to their files, accepted rules to their pages, which only our extension can show. */
export function registerLinks({ connection, client, offer, log, texts }: ServerContext): void {
  offer(() => ({ documentLinkProvider: { resolveProvider: false } }))
  connection.onDocumentLinks(guardQuestion<{ readonly textDocument: { readonly uri: string } }, DocumentLink[]>('documentLink', log, [], ({ textDocument }) => {
    const program = texts.of(textDocument.uri)
    if (program === undefined) return []
    return linksOf(program, program.findProgram).filter(link => link.kind === 'file' || client.withCommands).map(link => ({
      range: rangeOfPlace(link),
      target: link.kind === 'file' ? uriOf(link.path) : `toolwake-rule:${link.rule}.md`,
      tooltip: link.kind === 'file' ? 'Open the program that is called' : `What ${link.rule} means`,
    }))
  }))
}
