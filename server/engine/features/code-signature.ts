import type { Code } from '../nc/codes.ts'
import { codeWords, wordsByEffect, type CodeWord } from '../nc/code-words.ts'
import { markAt } from '../nc/line-marks.ts'
import { readMarks } from './block-marks.ts'
import type { ProgramText } from './program-text.ts'

/** The words that go with a code. */
export interface Signature {
  /** `G83 X Y Z R Q [L]`: what may be left out stands in brackets. */
  readonly label: string
  readonly says: string
  readonly words: readonly (CodeWord & { /** Stretch of the label. */ readonly from: number, readonly to: number })[]
  /** The word the cursor is at, by its place in `words`; undefined: at none of them. */
  readonly active: number | undefined
}

export function wordsOfCode(code: Code): readonly CodeWord[] {
  return codeWords[code.code] ?? wordsByEffect[code.effect] ?? []
}

/** The words of the code before the cursor; the angles of a tilted plane are those this control turns by. */
export function signatureAt(program: ProgramText, line: number, column: number): Signature | undefined {
  const block = readMarks(program, line)
  if (block.marks.some(mark => mark.kind === 'comment' && column > mark.from && column < mark.to)) return undefined
  const chosen = block.codes.findLast(({ mark, code }) => mark.from < column && wordsOfCode(code).length > 0)
  if (chosen === undefined) return undefined
  const { code } = chosen, at = markAt(block.marks, column), before = at ?? block.marks.findLast(mark => mark.to <= column)
  const letter = before?.kind === 'word' && before !== chosen.mark ? before.letter : undefined
  let label = code.code
  const words = wordsOfCode(code).map(word => {
    const shown = word.isNeeded ? word.letter : `[${word.letter}]`
    label += ` ${shown}`
    return { ...word, says: angleText(program, code, word), from: label.length - shown.length, to: label.length }
  })
  const active = words.findIndex(word => word.letter === letter)
  return { label, says: `${code.says} (${code.clause})`, words, active: active < 0 ? undefined : active }
}

function angleText({ machine: { control } }: ProgramText, { effect }: Code, { letter, says }: CodeWord): string {
  const at = 'IJK'.indexOf(letter), angles = control.tiltedPlaneAngles
  if (effect !== 'tilted-plane-on' || at < 0) return says
  const axis = (angles?.order ?? 'Z-X-Z').replaceAll('-', '').charAt(at)
  return `${says}, about ${axis} ${angles?.about === 'fixed' ? 'as it stands' : 'as turned so far'}`
}
