import type { Kinematics } from '../../../shared/kinematics.ts'
import type { Limits } from '../../../shared/setup.ts'
import { MotionFlag, MotionKind, type Toolpath } from '../../../shared/toolpath.ts'

/** Radians and mm. Less than this is rounding, not motion. */
const noStep = 1e-9

/**
 * How a motion may turn rotary axes: in rapid; in a feed block that moves nothing else, which is an index
 * unless it cuts; or not at all, or along with a path at feed, which the usual limits judge.
 */
export type Turning = 'none' | 'rapid' | 'index'

export function turningOf(toolpath: Toolpath, { rotary }: Kinematics, motion: number): Turning {
  if (!rotary.some(joint => moves(toolpath, motion, joint))) return 'none'
  if ((toolpath.flags[motion] & MotionFlag.rapid) !== 0) return 'rapid'
  // Under tool-centre control the tool point is led along, wherever the joints go.
  if (toolpath.kind[motion] !== MotionKind.joints) return 'none'
  return toolpath.axes.some((_, joint) => !rotary.includes(joint) && moves(toolpath, motion, joint)) ? 'none' : 'index'
}

/** Letters of the rotary axes that turn in a motion: "A", "A and C". */
export function turningAxes(toolpath: Toolpath, { rotary }: Kinematics, motion: number): string {
  return rotary.filter(joint => moves(toolpath, motion, joint)).map(joint => toolpath.axes[joint]).join(' and ')
}

/** Whether a cutter that is proven to come this near and no nearer works at the surface it is to leave. */
function isAtWork(certified: number, limits: Limits): boolean {
  return certified <= limits.stockToLeave + limits.gouge
}

/** How a motion's turning is judged: one whose cutter works at the surface is a cut. `certified`: how near the cutter is proven to come and no nearer, mm. */
export function judgedTurning(toolpath: Toolpath, kinematics: Kinematics, motion: number, certified: number, limits: Limits): Turning {
  const turns = turningOf(toolpath, kinematics, motion)
  return turns === 'index' && isAtWork(certified, limits) ? 'none' : turns
}

function moves({ joints, axes }: Toolpath, motion: number, joint: number): boolean {
  return Math.abs(joints[(motion + 1) * axes.length + joint] - joints[motion * axes.length + joint]) > noStep
}
