import type { Machine } from '../../../shared/machine.ts'
import type { Setup } from '../../../shared/setup.ts'
import { lineOf, lineSpan } from '../nc/line-index.ts'

/** A program as text, with what it is meant for: all that the features need which run nothing. */
export interface ProgramText {
  readonly text: string
  readonly lineStarts: Uint32Array
  readonly machine: Machine
  /** Undefined where no sheet belongs to the program, or it cannot be used. */
  readonly setup: Setup | undefined
}

/** A stretch of one line: 0-based line, columns in UTF-16 code units, end exclusive. */
export interface Place {
  readonly line: number
  readonly from: number
  readonly to: number
}

export function lineCount({ lineStarts }: Pick<ProgramText, 'lineStarts'>): number {
  return lineStarts.length - 1
}

/** The numbers of all lines, in order. */
export function* linesFrom(program: Pick<ProgramText, 'lineStarts'>): Generator<number> {
  const count = lineCount(program)
  for (let line = 0; line < count; line++) yield line
}

/** A line without its line end; empty for one that the text does not have. */
export function lineText({ text, lineStarts }: Pick<ProgramText, 'text' | 'lineStarts'>, line: number): string {
  if (line < 0 || line >= lineStarts.length - 1) return ''
  const { start, end } = lineSpan(lineStarts, text, line)
  return text.slice(start, end)
}

/**
 * The lines that a pattern is found in, in order, each once. Looking with one pattern over the whole text is what
 * makes a question about a million blocks quick when few of them hold what is asked for.
 */
export function* linesWith(program: Pick<ProgramText, 'text' | 'lineStarts'>, pattern: RegExp): Generator<number> {
  const { text, lineStarts } = program, search = new RegExp(pattern.source, [...new Set(`${pattern.flags}g`)].join(''))
  for (let found = search.exec(text); found !== null; found = search.exec(text)) {
    const line = lineOf(lineStarts, found.index)
    yield line
    search.lastIndex = Math.max(lineStarts[line + 1] ?? text.length, found.index + 1)
  }
}
