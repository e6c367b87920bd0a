import type { MotionPose } from '../../../shared/motion-pose.ts'
import type { Triple } from '../../../shared/setup.ts'
import { ARC_STRIDE, type Toolpath } from '../../../shared/toolpath.ts'

/** The miss is looked at between moments in which axis and path turn no further than this; radians. */
const PIECE = 0.02
const MOST_PIECES = 256

/** Greatest distance of a point of the part from the line of the tool axis over a motion, mm, and when. `rotary`: the rotary joints. */
export function greatestMiss(pose: MotionPose, toolpath: Toolpath, motion: number, rotary: readonly number[], point: Triple): { miss: number, time: number } {
  const width = toolpath.axes.length, arc = toolpath.arcOf[motion] ?? -1
  let turn = arc < 0 ? 0 : toolpath.arcs[arc * ARC_STRIDE + 9] ?? 0
  for (const joint of rotary) turn += Math.abs((toolpath.joints[(motion + 1) * width + joint] ?? Number.NaN) - (toolpath.joints[motion * width + joint] ?? Number.NaN))
  const pieces = Math.min(MOST_PIECES, Math.max(1, Math.ceil(turn / PIECE)))
  pose.begin(motion)
  // The middle comes first: while the axis stands still, what it gives holds for the whole motion.
  let worst = missAt(pose, 0.5, point), time = 0.5
  for (let n = 0; n <= pieces; n++) {
    const miss = missAt(pose, n / pieces, point)
    if (miss <= worst) continue
    worst = miss
    time = n / pieces
  }
  return { miss: worst, time }
}

function missAt(pose: MotionPose, t: number, [x, y, z]: Triple): number {
  pose.at(t)
  const dx = x - pose.px, dy = y - pose.py, dz = z - pose.pz
  return Math.hypot(dy * pose.az - dz * pose.ay, dz * pose.ax - dx * pose.az, dx * pose.ay - dy * pose.ax)
}
