import { MotionPose } from '../../../shared/motion-pose.ts'
import { MotionFlag } from '../../../shared/toolpath.ts'
import { motionsOfLine, motionUpToLine } from './motions-by-line.ts'
import type { ProgramView } from './program-view.ts'

/** Where the tool stands when a block is done. mm and unit vector in the part frame; joints in mm and radians. */
export interface BlockPose {
  readonly point: readonly [number, number, number]
  readonly axis: readonly [number, number, number]
  readonly joints: Float64Array
  /** The motion that brought it there, and its flags. */
  readonly motion: number
  readonly rapid: boolean
  /** Index into the sheet's tools; undefined: none in the spindle, or not in the sheet. */
  readonly tool: number | undefined
  /** The block itself moves the tool; false: it stands where an earlier block left it. */
  readonly moves: boolean
  /** Time of the block's motions at the programmed feed, seconds. */
  readonly seconds: number
}

/** Undefined before the first motion, and where a start that is not known keeps the pose unknown. */
export function poseAfterLine(view: ProgramView, line: number): BlockPose | undefined {
  const { toolpath, kinematics, lengths } = view
  const own = motionsOfLine(view.motions, line)
  const motion = own.at(-1) ?? motionUpToLine(view.motions, line)
  if (motion === undefined) return undefined
  const flags = toolpath.flags[motion] ?? 0
  if ((flags & MotionFlag.unknownStart) !== 0) return undefined
  const pose = new MotionPose(kinematics, toolpath, lengths)
  pose.begin(motion)
  pose.at(1)
  const point = [pose.px, pose.py, pose.pz] as const
  const axis = [pose.ax, pose.ay, pose.az] as const
  if (![...point, ...axis].every(Number.isFinite)) return undefined
  const width = toolpath.axes.length
  const tool = toolpath.tool[motion] ?? lengths.length
  let seconds = 0
  for (const one of own) seconds += toolpath.seconds[one] ?? 0
  return {
    point,
    axis,
    joints: toolpath.joints.slice((motion + 1) * width, (motion + 2) * width),
    motion,
    rapid: (flags & MotionFlag.rapid) !== 0,
    tool: tool < lengths.length ? tool : undefined,
    moves: own.length > 0,
    seconds,
  }
}
