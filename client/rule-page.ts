import { Uri, commands, window, workspace, type Disposable, type TextDocumentContentProvider } from 'vscode'
import type { ServerLink } from './server-link.ts'

const scheme = 'toolwake-rule'

/** Serves the pages of the rules as read-only Markdown documents; the words are the server's. */
export function provideRulePages(server: ServerLink): Disposable {
  const provider: TextDocumentContentProvider = {
    provideTextDocumentContent: async uri => {
      const rule = uri.path.replace(/\.md$/, '')
      const { markdown } = await server.ask('toolwake/rulePage', { rule })
      return markdown ?? `There is no rule named ${rule}.`
    },
  }
  return workspace.registerTextDocumentContentProvider(scheme, provider)
}

/** Shows the page beside the program: drawn where the editor can draw Markdown, else as text. */
export async function openRulePage(rule: string): Promise<void> {
  const uri = Uri.from({ scheme, path: `${rule}.md` })
  try {
    await commands.executeCommand('markdown.showPreviewToSide', uri)
  } catch {
    // An editor without a Markdown preview shows the words as they are written.
    await window.showTextDocument(uri, { preview: true })
  }
}
