import { MotionPose } from '../../../shared/motion-pose.ts'
import { NO_TOOL } from '../../../shared/toolpath.ts'
import type { ComparedPath } from './compared-path.ts'

/** A moment of a path. */
export interface Moment {
  readonly motion: number
  /** In the motion, 0..1. */
  readonly time: number
}

/** Poses along a path; the motion in hand is kept, so that neighbouring questions are cheap. Part frame, mm. */
export class PathPose {
  readonly pose: MotionPose
  readonly #path: ComparedPath
  #motion = -1

  constructor(path: ComparedPath) {
    this.#path = path
    this.pose = new MotionPose(path.kinematics, path.toolpath, path.lengths)
  }

  /** Takes the pose to that moment, and its bounds to the whole motion. */
  go(motion: number, time: number): MotionPose {
    if (motion !== this.#motion) {
      this.#motion = motion
      this.pose.begin(motion)
    }
    this.pose.at(time)
    return this.pose
  }

  /** Index of the tool in the sheet; NO_TOOL where the spindle holds none that the sheet knows. */
  tool(motion: number): number {
    return this.#path.toolpath.tool[motion] ?? NO_TOOL
  }

  /** Value of a joint that moves evenly: every rotary joint does. */
  joint(motion: number, time: number, joint: number): number {
    const { joints, axes } = this.#path.toolpath, width = axes.length
    const from = joints[motion * width + joint] ?? Number.NaN, to = joints[(motion + 1) * width + joint] ?? Number.NaN
    return from + (to - from) * time
  }
}

/** Distance of the tool points of two poses, mm. */
export function pointDistance(a: MotionPose, b: MotionPose): number {
  return Math.hypot(a.px - b.px, a.py - b.py, a.pz - b.pz)
}

/** Angle between the tool axes of two poses, radians; exact for small ones too. */
export function axisAngle(a: MotionPose, b: MotionPose): number {
  const x = a.ay * b.az - a.az * b.ay, y = a.az * b.ax - a.ax * b.az, z = a.ax * b.ay - a.ay * b.ax
  return Math.atan2(Math.hypot(x, y, z), a.ax * b.ax + a.ay * b.ay + a.az * b.az)
}
