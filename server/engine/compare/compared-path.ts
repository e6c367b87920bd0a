import type { Kinematics } from '../../../shared/kinematics.ts'
import type { Toolpath } from '../../../shared/toolpath.ts'
import type { MotionStates } from './motion-states.ts'

/** One of the two programs, as the comparison looks at it. */
export interface ComparedPath {
  readonly text: string
  /** Offset of each line's start; one more entry than lines. */
  readonly lineStarts: Uint32Array
  readonly toolpath: Toolpath
  readonly kinematics: Kinematics
  /** Gauge length by tool index, mm. */
  readonly lengths: ArrayLike<number>
  readonly states: MotionStates
}

/** Motions [first, end) of a path. */
export interface Stretch {
  readonly first: number
  readonly end: number
}
