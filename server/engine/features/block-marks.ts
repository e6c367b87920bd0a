import type { Control } from '../../../shared/machine.ts'
import { buildDialect, codeOf, type Dialect } from '../machine/dialect.ts'
import type { Code, Effect } from '../nc/codes.ts'
import { marksOf, type Mark } from '../nc/line-marks.ts'
import { lineText, type ProgramText } from './program-text.ts'

export type WordMark = Extract<Mark, { readonly kind: 'word' }>

/** A line as its marks, with what its codes mean on this control. */
export interface BlockMarks {
  readonly line: number
  readonly text: string
  readonly marks: readonly Mark[]
  readonly words: readonly WordMark[]
  readonly codes: readonly { readonly mark: WordMark, readonly code: Code }[]
}

const dialects = new WeakMap<Control, Dialect>()

/** The codes of a control, worked out once. */
export function dialectOf(control: Control): Dialect {
  let dialect = dialects.get(control)
  if (dialect === undefined) dialects.set(control, dialect = buildDialect(control))
  return dialect
}

export function readMarks(program: ProgramText, line: number): BlockMarks {
  const text = lineText(program, line)
  return { line, text, ...readMarksOf(text, program.machine.control) }
}

export function readMarksOf(text: string, control: Control): Pick<BlockMarks, 'marks' | 'words' | 'codes'> {
  const dialect = dialectOf(control), marks = marksOf(text)
  const words = marks.filter(mark => mark.kind === 'word')
  const codes = words.flatMap(mark => {
    const code = mark.letter === 'G' || mark.letter === 'M' ? codeOf(dialect, mark.letter, mark.value) : undefined
    return code === undefined ? [] : [{ mark, code }]
  })
  return { marks, words, codes }
}

/** The last word of the block with the letter. */
export function wordOf({ words }: Pick<BlockMarks, 'words'>, letter: string): WordMark | undefined {
  return words.findLast(word => word.letter === letter)
}

export function hasEffect({ codes }: Pick<BlockMarks, 'codes'>, ...effects: readonly Effect[]): boolean {
  return codes.some(({ code }) => effects.includes(code.effect))
}

/** The words of a comment without its brackets or semicolon. */
export function commentText(text: string, { from, to }: Mark): string {
  return text.slice(from, to).replace(/^[(;]\s*/, '').replace(/\s*\)?\s*$/, '')
}

/** Digits that may have blanks between them and zeros before them, as part of a pattern. */
export function digitsPattern(number: number): string {
  return `0*${[...String(number)].join('[ \\t]*')}(?![ \\t]*[\\d.])`
}
