import type { Cancellation } from '../../shared/cancellation.ts'
import { MotionPose } from '../../shared/motion-pose.ts'
import { gaugeLength } from '../../shared/tool-length.ts'
import { MotionFlag, NO_TOOL } from '../../shared/toolpath.ts'
import { holdsIn } from './contact/effective-limits.ts'
import { greatestMiss } from './geometry/axis-miss.ts'
import type { AimPoint } from './mend/try-steps.ts'
import type { Scene } from './open-scene.ts'
import type { ReadProgram } from './read-program.ts'

/** The point that the axis of each motion must pass; of two passes that hold the later one says. */
export function aimsOf({ toolpath, passLines }: ReadProgram, { setup }: Scene): (motion: number) => AimPoint | undefined {
  const passes = (setup?.passes ?? []).map((pass, i) => ({ pass, lines: passLines[i] ?? { from: Infinity, to: -1 } })).filter(({ pass }) => pass.axisThrough !== undefined)
  if (passes.length === 0) return () => undefined
  return motion => passes.findLast(({ pass, lines }) => holdsIn(pass, lines, toolpath.line[motion] ?? 0, setup?.tools[toolpath.tool[motion] ?? NO_TOOL]?.number))?.pass.axisThrough
}

/** Motions looked at between two looks at whether anyone still waits: a few milliseconds. */
export const motionsBetweenLooks = 1024

/** Feed moves whose axis misses its point. Ends early, with what there is, once cancelled. */
export function missesOf({ toolpath, kinematics }: ReadProgram, { setup }: Scene, aimOf: (motion: number) => AimPoint | undefined, cancellation: Cancellation): number[] {
  const pose = new MotionPose(kinematics, toolpath, setup?.tools.map(gaugeLength) ?? []), missing: number[] = []
  for (let motion = 0; motion < toolpath.count; motion++) {
    if (motion % motionsBetweenLooks === 0 && cancellation.cancelled()) break
    const aim = aimOf(motion)
    if (aim === undefined || ((toolpath.flags[motion] ?? 0) & (MotionFlag.rapid | MotionFlag.unknownStart)) !== 0) continue
    if (greatestMiss(pose, toolpath, motion, kinematics.rotary, aim.point).miss > aim.within) missing.push(motion)
  }
  return missing
}
