import type { Span } from '../../../shared/span.ts'

// Offsets and lines. A line ends at \n, \r\n or \r, as the language server protocol (3.17) counts them.

/** 0-based line and character, in UTF-16 code units. */
export interface Position {
  readonly line: number
  readonly character: number
}

/** Offset of each line's start, and at last the length of the text: one more entry than lines. */
export function lineStartsOf(text: string): Uint32Array {
  let starts = new Uint32Array(Math.max(16, text.length >>> 4))
  let count = 1
  const add = (offset: number) => {
    if (count === starts.length) {
      const larger = new Uint32Array(starts.length * 2)
      larger.set(starts)
      starts = larger
    }
    starts[count++] = offset
  }
  if (text.indexOf('\r') < 0) {
    for (let at = text.indexOf('\n'); at >= 0; at = text.indexOf('\n', at + 1)) add(at + 1)
  } else {
    for (let at = 0; at < text.length; at++) {
      const code = text.charCodeAt(at)
      if (code === 10 || code === 13 && text.charCodeAt(at + 1) !== 10) add(at + 1)
    }
  }
  add(text.length)
  return starts.slice(0, count)
}

/** 0-based line that holds the offset; offsets outside the text count as its first or last. */
export function lineOf(lineStarts: Uint32Array, offset: number): number {
  let low = 0
  let high = lineStarts.length - 2
  while (low < high) {
    const middle = (low + high + 1) >>> 1
    if ((lineStarts[middle] ?? 0) <= offset) low = middle
    else high = middle - 1
  }
  return low
}

export function positionOf(lineStarts: Uint32Array, offset: number): Position {
  const line = lineOf(lineStarts, offset)
  return { line, character: Math.max(0, offset - (lineStarts[line] ?? 0)) }
}

/** The line's text without its line end, as a span; an empty one for a line the text does not have. */
export function lineSpan(lineStarts: Uint32Array, text: string, line: number): Span {
  const start = lineStarts[line] ?? text.length
  let end = line < lineStarts.length - 2 ? lineStarts[line + 1] ?? text.length : text.length
  while (end > start && (text.charCodeAt(end - 1) === 10 || text.charCodeAt(end - 1) === 13)) end--
  return { start, end }
}
