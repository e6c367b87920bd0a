import type { Edit } from '../../../shared/finding.ts'

// What is added to a text of JSON with comments, in the way that text is written: its line ends, its
// indentation, and with or without a comma after the last entry. All that stands there stays, comments included.

/** A list or an object in the text, as far as it matters where to add something. */
export interface Container {
  /** Offset of its closing bracket. */
  readonly close: number
  /** Where its last entry begins and ends; undefined while it has none. */
  readonly last: { readonly start: number, readonly end: number } | undefined
}

/**
 * The edits, in the order of the text, that add an entry behind the last one. `lines`: the entry, each line with two blanks
 * for every step of depth inside it. Its last line ends with no comment, so that a comma can follow.
 */
export function additionTo(text: string, { close, last }: Container, lines: readonly string[]): Edit[] {
  const eol = text.includes('\r\n') ? '\r\n' : '\n'
  const closeLine = lineStart(text, close), stands = text.slice(closeLine, close).trim() === ''
  const outer = indentationAt(text, close)
  const step = /^[ ]*\t/m.test(text) ? '\t' : '  '
  const own = last !== undefined && text.slice(lineStart(text, last.start), last.start).trim() === '' ? indentationAt(text, last.start) : outer + step
  const comma = last === undefined ? undefined : commaBehind(text, last.end, close)
  const entry = lines.map(line => own + line.replace(/^(?: {2})+/, deep => step.repeat(deep.length / 2)))
  const words = entry.join(eol) + (comma !== undefined ? ',' : '')
  const at = stands ? closeLine : close
  const added = stands ? words + eol : eol + words + eol + outer
  const edits: Edit[] = [{ span: { start: at, end: at }, text: added }]
  if (last !== undefined && comma === undefined) edits.unshift({ span: { start: last.end, end: last.end }, text: ',' })
  return edits
}

function lineStart(text: string, offset: number): number {
  return text.lastIndexOf('\n', offset - 1) + 1
}

function indentationAt(text: string, offset: number): string {
  return /^[ \t]*/.exec(text.slice(lineStart(text, offset), offset))?.[0] ?? ''
}

/** Offset of the comma between an entry and the closing bracket, comments skipped. */
function commaBehind(text: string, from: number, close: number): number | undefined {
  const between = text.slice(from, close).replaceAll(/\/\/[^\n]*|\/\*[\s\S]*?\*\//g, comment => ' '.repeat(comment.length))
  const at = between.indexOf(',')
  return at < 0 ? undefined : from + at
}
