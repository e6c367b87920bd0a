import type { Toolpath } from '../../../shared/toolpath.ts'
import { MotionRuns, type MotionRun } from './motion-runs.ts'

/** What is wrong with one motion, as far as that motion alone shows it. */
export interface MotionFault {
  readonly motion: number
  /** Greater is worse. */
  readonly figure: number
  /** Tells apart what one rule looks at: a joint, a side of its travel. */
  readonly of: number
}

/** The faults a rule has found in motions, in the order of the motions for each thing it looks at. */
export class MotionFaults {
  list: MotionFault[] = []

  add(motion: number, figure: number, of = 0): void {
    this.list.push({ motion, figure, of })
  }

  /** Neighbours with one cause, in the order of their first motions. */
  runs(toolpath: Toolpath, of = 0): readonly MotionRun[] {
    const runs = new MotionRuns(toolpath)
    for (const fault of this.list) if (fault.of === of) runs.add(fault.motion, fault.figure)
    return runs.runs
  }

  /** Those of a run before that an edit has left as they are: motions before `head`, and from `tail` on, which have moved by `by`. */
  takeOver(earlier: readonly MotionFault[], head: number, tail: number, by: number): void {
    const before = earlier.filter(fault => fault.motion < head)
    const behind = earlier.filter(fault => fault.motion >= tail).map(fault => ({ ...fault, motion: fault.motion + by }))
    this.list = [...before, ...this.list, ...behind]
  }
}
