import type { TextChange } from '../nc/text-change.ts'
import type { InterpretedBlock } from './interpreter.ts'

/** How what lies behind an edit has moved: in the text, and in the motions. */
export interface Move {
  readonly change: TextChange
  /** Motions more than before. */
  readonly motions: number
}

/** Motions of the run before that are in the new one too: those before `head`, and those from `tail` on, moved by `by`. */
export interface KeptMotions { readonly head: number, readonly tail: number, readonly by: number }

/**
 * Looks on while a program runs, block by block, and can take up its thread after an edit. A `mark` is
 * what it keeps at a checkpoint to go on from there: plain data that nobody else looks into. Marks given
 * to a visitor come from the visitor of the run before, or from itself.
 */
export interface RunVisitor {
  readonly block: (step: InterpretedBlock) => void
  /** Where it stands between two blocks. */
  readonly keep: () => unknown
  /** Stands where the visitor of the run before stood at this mark, with all it had seen by then. */
  readonly takeUp: (mark: unknown) => void
  /** Whether it stands as that visitor stood at this mark, so that the same blocks give the same from here. */
  readonly standsAt: (mark: unknown, change: TextChange) => boolean
  /**
   * Takes over what that visitor saw from this mark to its end. Answers with the marks of that stretch as they
   * are now; undefined where something in them points to what the edit has taken away.
   */
  readonly takeRest: (mark: unknown, later: readonly unknown[], move: Move) => readonly unknown[] | undefined
  /** At the end of a run after an edit. */
  readonly keepMotions: (kept: KeptMotions) => void
}
