import { foldsOf, outlineOf, type OutlineNode, type ProgramText } from '../../engine/editor-service.ts'
import { lineSpan } from '../../engine/service.ts'
import { guardQuestion } from '../guard.ts'
import { FoldingRangeKind, SymbolKind } from '../protocol.ts'
import type { DocumentSymbol, FoldingRange } from '../protocol.ts'
import { rangeOfPlace } from '../program-texts.ts'
import type { ServerContext } from '../server-context.ts'

interface OfDocument { readonly textDocument: { readonly uri: string } }

const kinds: Readonly<Record<OutlineNode['kind'], SymbolKind>> = {
  program: SymbolKind.Module, tool: SymbolKind.Class, pass: SymbolKind.Event, heading: SymbolKind.String,
}

/** The parts of a program: as a list, beside the cursor, and as what can be folded. */
export function registerSymbols({ connection, offer, log, texts }: ServerContext): void {
  offer(() => ({ documentSymbolProvider: true, foldingRangeProvider: true }))
  connection.onDocumentSymbol(guardQuestion<OfDocument, DocumentSymbol[]>('documentSymbol', log, [], ({ textDocument }) => {
    const program = texts.of(textDocument.uri)
    return program === undefined ? [] : outlineOf(program).map(node => symbolOf(program, node))
  }))
  connection.onFoldingRanges(guardQuestion<OfDocument, FoldingRange[]>('foldingRange', log, [], ({ textDocument }) => {
    const program = texts.of(textDocument.uri)
    return program === undefined ? [] : foldsOf(program).map(({ first, last, kind }) => ({
      startLine: first, endLine: last, kind: kind === 'comment' ? FoldingRangeKind.Comment : FoldingRangeKind.Region,
    }))
  }))
}

function symbolOf(program: ProgramText, node: OutlineNode): DocumentSymbol {
  const { start, end } = lineSpan(program.lineStarts, program.text, node.last)
  return {
    name: node.name, detail: node.detail, kind: kinds[node.kind],
    range: { start: { line: node.first, character: 0 }, end: { line: node.last, character: end - start } },
    selectionRange: rangeOfPlace(node.place),
    children: node.children.map(child => symbolOf(program, child)),
  }
}
