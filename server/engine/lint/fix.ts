import type { Edit } from '../../../shared/finding.ts'
import type { Span } from '../../../shared/span.ts'
import type { Toolpath } from '../../../shared/toolpath.ts'
import type { ModalState } from '../machine/modal-state.ts'
import type { RuleContext } from './rule.ts'

/** A sure way to mend the text of a program at one finding. */
export interface Fix {
  /** What is written, as an order. */
  readonly title: string
  /** Of the program's text as it was read, in its order; none lies over another. */
  readonly edits: readonly Edit[]
  /** The check reads the same motions, feeds, spindle and coolant as before. */
  readonly keepsMotion: boolean
  /** It takes somebody's decision and is left out where all fixes that keep the motion are made at once. */
  readonly oneByOne?: true
}

/** A finding in the program's own text, with what was in force about its block. */
export interface FixPlace extends RuleContext {
  readonly span: Span
  /** 0-based line the span starts on. */
  readonly line: number
  readonly lineStarts: Uint32Array
  readonly toolpath: Toolpath
  readonly before: Readonly<ModalState>
  readonly after: Readonly<ModalState>
}
