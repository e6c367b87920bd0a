import { MotionPose } from '../../../shared/motion-pose.ts'
import { gaugeLength } from '../../../shared/tool-length.ts'
import { MotionFlag, type Toolpath } from '../../../shared/toolpath.ts'
import type { RuleContext } from './rule.ts'

/** Where the tool is inside each motion of the program, with the tools of the sheet. */
export function poseOf({ kinematics, setup }: RuleContext, toolpath: Toolpath): MotionPose {
  return new MotionPose(kinematics, toolpath, setup?.tools.map(gaugeLength) ?? [])
}

/** A feed move whose start is known. */
export function isFeedMotion(toolpath: Toolpath, motion: number): boolean {
  return ((toolpath.flags[motion] ?? 0) & (MotionFlag.rapid | MotionFlag.unknownStart)) === 0
}

/** How far a joint goes in a motion, mm or radians, with its sign. */
export function jointTravel(toolpath: Toolpath, motion: number, joint: number): number {
  const width = toolpath.axes.length
  return (toolpath.joints[(motion + 1) * width + joint] ?? NaN) - (toolpath.joints[motion * width + joint] ?? NaN)
}

/** Sum of the turns of all rotary joints, radians: the tool axis cannot turn more. */
export function rotaryTravel(toolpath: Toolpath, motion: number, rotary: readonly number[]): number {
  let sum = 0
  for (const joint of rotary) sum += Math.abs(jointTravel(toolpath, motion, joint))
  return sum
}

/** Angle between two unit vectors, radians, also exact when it is tiny. */
export function angleBetween(ax: number, ay: number, az: number, bx: number, by: number, bz: number): number {
  const cx = ay * bz - az * by, cy = az * bx - ax * bz, cz = ax * by - ay * bx
  return Math.atan2(Math.hypot(cx, cy, cz), ax * bx + ay * by + az * bz)
}
