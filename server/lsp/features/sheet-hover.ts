import { sheetToolAt } from '../../engine/editor-service.ts'
import { pathOf } from '../document-path.ts'
import { isSheetUri } from '../input-checks.ts'
import { MarkupKind } from '../protocol.ts'
import type { Hover, HoverParams } from '../protocol.ts'
import type { ServerContext } from '../server-context.ts'

/** In a setup sheet: the tool whose entry the pointer is in. What a key means the editor knows from the schema. */
export function sheetHover({ textDocument: { uri }, position }: HoverParams, { documents, client }: ServerContext): Hover | null {
  const document = documents.get(uri), path = pathOf(uri)
  if (document === undefined || path === undefined || !isSheetUri(uri)) return null
  const tool = sheetToolAt({ path, text: document.getText() }, document.offsetAt(position), client)
  return tool === undefined ? null : { contents: { kind: MarkupKind.Markdown, value: tool } }
}
