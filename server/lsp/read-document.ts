import { lineSpan } from '../engine/service.ts'
import type { Position, Range, TextDocument } from './protocol.ts'

/** A text with its places, as far as the server asks for them. */
export type PlacedText = Pick<TextDocument, 'uri' | 'languageId' | 'version' | 'lineCount' | 'getText' | 'positionAt' | 'offsetAt'>

/** The text of one reading as a document that never changes, on the lines that the reader has found already: of a million blocks nobody looks for them twice. */
export function readDocument(uri: string, languageId: string, version: number, { text, lineStarts }: { readonly text: string, readonly lineStarts: Uint32Array }): PlacedText {
  const lineCount = lineStarts.length - 1
  const positionAt = (offset: number): Position => {
    const wanted = Math.max(0, Math.min(Math.floor(offset), text.length))
    let low = 0, high = lineCount - 1
    while (low < high) {
      const middle = (low + high + 1) >>> 1
      if ((lineStarts[middle] ?? 0) <= wanted) low = middle
      else high = middle - 1
    }
    // A place cannot lie within a line end (LSP 3.17).
    const { start, end } = lineSpan(lineStarts, text, low)
    return { line: low, character: Math.min(wanted, end) - start }
  }
  const offsetAt = ({ line, character }: Position): number => {
    if (line < 0) return 0
    if (line >= lineCount) return text.length
    const { start, end } = lineSpan(lineStarts, text, line)
    return Math.max(start, Math.min(start + character, end))
  }
  return {
    uri, languageId, version, lineCount, positionAt, offsetAt,
    getText: (range?: Range) => range === undefined ? text : text.slice(offsetAt(range.start), offsetAt(range.end)),
  }
}
