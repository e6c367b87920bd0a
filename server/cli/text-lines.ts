import type { Span } from '../../shared/span.ts'

// Lines and columns of a text for the two printed forms. Columns count UTF-16 code units from 1,
// which is what the findings' spans count too. Lines end at CR LF, LF or a lone CR.

export interface TextLines {
  readonly text: string
  /** Offset of each line's first character. A text that ends with a line end has no further, empty line. */
  readonly starts: readonly number[]
}

/** 1-based line and column. */
export interface Place {
  readonly line: number
  readonly column: number
}

export function linesOf(text: string): TextLines {
  const starts = [0]
  const lineEnd = /\r\n|\n|\r/g
  for (let match = lineEnd.exec(text); match !== null; match = lineEnd.exec(text)) {
    if (lineEnd.lastIndex < text.length) starts.push(lineEnd.lastIndex)
  }
  return { text, starts }
}

/** Where an offset lies. An offset inside or after a line end belongs to the line it ends. */
export function placeOf(lines: TextLines, offset: number): Place {
  const at = Math.min(Math.max(offset, 0), lines.text.length)
  let low = 0
  let high = lines.starts.length - 1
  while (low < high) {
    const middle = (low + high + 1) >> 1
    if ((lines.starts[middle] ?? 0) <= at) low = middle
    else high = middle - 1
  }
  return { line: low + 1, column: at - (lines.starts[low] ?? 0) + 1 }
}

/** A line's text without its line end; empty for a line that is not there. `line` counts from 1. */
export function lineText(lines: TextLines, line: number): string {
  const start = lines.starts[line - 1]
  if (start === undefined) return ''
  const end = lines.starts[line] ?? lines.text.length
  return lines.text.slice(start, end).replace(/[\r\n]+$/, '')
}

/** A range of a file as SARIF writes it (3.30): lines and columns from 1, `endColumn` one past the last character. */
export interface Region {
  readonly startLine: number
  readonly startColumn: number
  readonly endLine?: number
  readonly endColumn: number
}

export function regionOf(lines: TextLines, span: Span): Region {
  const start = placeOf(lines, span.start)
  const end = placeOf(lines, Math.max(span.start, span.end))
  return {
    startLine: start.line,
    startColumn: start.column,
    ...(end.line === start.line ? {} : { endLine: end.line }),
    endColumn: end.column,
  }
}
