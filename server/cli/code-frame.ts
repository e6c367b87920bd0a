import type { Span } from '../../shared/span.ts'
import type { TextLines } from './text-lines.ts'
import { lineText, placeOf } from './text-lines.ts'

/** Widest piece of a line that is shown; longer lines are shown in part, around the marked place. */
const FRAME_WIDTH = 100

/**
 * The line of a span under its number, with carets below the marked characters:
 *
 *        823  N8230 G1 X12.5 Y4.
 *                      ^^^^^
 *
 * Undefined where there is no text to show.
 */
export function codeFrame(lines: TextLines, span: Span): { readonly code: string, readonly carets: string } | undefined {
  if (lines.text.length === 0) return undefined
  const { line, column } = placeOf(lines, span.start)
  const whole = lineText(lines, line)
  const from = Math.min(column - 1, whole.length)
  const to = Math.max(from + 1, Math.min(whole.length, from + (span.end - span.start)))

  // A window of the line that holds the start of the span, with some of what stands before it.
  const first = whole.length <= FRAME_WIDTH ? 0 : Math.max(0, Math.min(from - 30, whole.length - FRAME_WIDTH))
  const last = Math.min(whole.length, first + FRAME_WIDTH)
  const before = first > 0 ? '… ' : ''
  const after = last < whole.length ? ' …' : ''

  const number = String(line).padStart(7)
  const code = `${number}  ${before}${printable(whole.slice(first, last))}${after}`
  const indent = ' '.repeat(number.length + 2 + before.length + from - first)
  const marked = Math.max(1, Math.min(to, Math.max(last, from + 1)) - from)
  return { code, carets: indent + '^'.repeat(marked) }
}

/**
 * One visible character for each character of the text: a program may hold anything, and nothing
 * in it may reach the terminal as a control sequence or move the carets. Tabs become one blank.
 */
export function printable(text: string): string {
  return text.replace(/\t/g, ' ').replace(/[\u0000-\u001f\u007f-\u009f\u200b-\u200f\u2028-\u202e\u2066-\u2069\ufeff]/g, '·')
}
