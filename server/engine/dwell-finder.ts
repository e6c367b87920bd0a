import type { Span } from '../../shared/span.ts'
import { Notes } from './lint/notes.ts'
import type { BlockStep, RuleVisitor } from './lint/rule.ts'
import { findCode, wordSpan } from './nc/words.ts'

/** A dwell as it has run: its word, and the motion that ended before it. */
export interface DwellPlace {
  readonly span: Span
  readonly motion: number
  /** Path of the called file it stands in; absent in the program itself. */
  readonly file?: string
}

/** Finds the dwells of a run, in the order in which they come: a jump or a call may lead to them from anywhere. */
export class DwellFinder implements RuleVisitor {
  readonly notes = new Notes<DwellPlace>()

  readonly block = ({ block, after, firstMotion, file }: BlockStep): void => {
    const word = findCode(block, 'G', 4)
    if (word < 0) return
    // Radius compensation keeps a motion back until it knows the next one.
    const isCompensated = after.radiusCompensation === 41 || after.radiusCompensation === 42
    const motion = isCompensated ? firstMotion : firstMotion - 1
    if (motion >= 0) this.notes.add({ span: wordSpan(block, word), motion, ...file === undefined ? {} : { file } })
  }
}
