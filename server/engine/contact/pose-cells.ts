import type { MotionPose } from '../../../shared/motion-pose.ts'
import { cellMiddle, POSE_STRIDE, timeCellCount } from './time-cells.ts'

/** The exact poses at the middles of the time cells of the motion in hand, each computed once when first asked for. */
export class PoseCells {
  readonly #poses = new Float64Array(timeCellCount * POSE_STRIDE)
  readonly #stamps = new Uint32Array(timeCellCount)
  readonly #motion: MotionPose
  #stamp = 0

  constructor(motion: MotionPose) {
    this.#motion = motion
  }

  /** Forgets the poses: another motion has been taken in hand. */
  begin(): void {
    this.#stamp++
  }

  /** All poses; those of `cell` are up to date at cell × POSE_STRIDE. */
  pose(cell: number): Float64Array {
    if (this.#stamps[cell] !== this.#stamp) this.#fill(cell)
    return this.#poses
  }

  #fill(cell: number): void {
    this.#motion.at(cellMiddle[cell])
    writePose(this.#motion, this.#poses, cell * POSE_STRIDE)
    this.#stamps[cell] = this.#stamp
  }
}

/** Writes the pose in hand as POSE_STRIDE numbers. */
export function writePose(motion: MotionPose, poses: Float64Array, p: number): void {
  poses[p] = motion.px
  poses[p + 1] = motion.py
  poses[p + 2] = motion.pz
  poses[p + 3] = motion.ax
  poses[p + 4] = motion.ay
  poses[p + 5] = motion.az
  poses[p + 6] = motion.vx
  poses[p + 7] = motion.vy
  poses[p + 8] = motion.vz
  poses[p + 9] = motion.wx
  poses[p + 10] = motion.wy
  poses[p + 11] = motion.wz
}
