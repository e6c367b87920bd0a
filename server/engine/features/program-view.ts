import type { Kinematics } from '../../../shared/kinematics.ts'
import type { Machine } from '../../../shared/machine.ts'
import type { Toolpath } from '../../../shared/toolpath.ts'
import type { Interpretation } from '../machine/interpreter.ts'
import type { ModalState } from '../machine/modal-state.ts'
import type { MotionsByLine } from './motions-by-line.ts'

/** A program that has been read, as the editor's features look at it. */
export interface ProgramView {
  readonly text: string
  readonly lineStarts: Uint32Array
  readonly machine: Machine
  readonly toolpath: Toolpath
  readonly kinematics: Kinematics
  readonly motions: MotionsByLine
  /** Gauge point to tool point by tool index, mm. */
  readonly lengths: ArrayLike<number>
  /** What is in force before a line. */
  readonly stateAt: (line: number) => Readonly<ModalState>
  /** The run that the states come from, once one has been asked for. */
  readonly run: () => Interpretation | undefined
}
