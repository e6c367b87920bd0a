import type { Kinematics } from '../../../shared/kinematics.ts'
import type { Toolpath } from '../../../shared/toolpath.ts'
import type { Replay } from '../machine/interpreter.ts'
import type { ModalState } from '../machine/modal-state.ts'
import type { MotionsByLine } from './motions-by-line.ts'
import type { ProgramText } from './program-text.ts'

/** A program that has been read, as the editor's features look at it. */
export interface ProgramView extends ProgramText {
  readonly toolpath: Toolpath
  readonly kinematics: Kinematics
  readonly motions: MotionsByLine
  /** Gauge point to tool point by tool index, mm. */
  readonly lengths: ArrayLike<number>
  /** What is in force before a line. */
  readonly stateAt: (line: number) => Readonly<ModalState>
  /** Shows again what ran on some lines, word for word as it was worked out. */
  readonly replay: Replay
}
