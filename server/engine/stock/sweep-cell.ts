import type { MotionPose } from '../../../shared/motion-pose.ts'
import type { PieceDistance } from '../geometry/piece-distance.ts'
import { roundingAllowance } from '../geometry/tolerance.ts'

/**
 * A convex piece of the tool over a short stretch of a motion, as seen from the tool in the middle of the
 * stretch: each point of the part, u from the tool point, goes by evenly with the velocity −(V + Ω × u). No
 * point within `grow` of the piece is ever farther than `error` from where that puts it.
 */
export class SweepCell {
  px = 0; py = 0; pz = 0
  ax = 0; ay = 0; az = 1
  vx = 0; vy = 0; vz = 0
  wx = 0; wy = 0; wz = 0
  /** Time of its middle in the motion, and half its length. */
  middle = 0
  half = 0
  /** Largest |Ω|. */
  turn = 0
  /** mm and a share: a point |u| from the tool point bends by at most curve + spin |u|. */
  curve = 0
  spin = 0
  /** mm. The most that a point of the piece, or of what counts around it, bends. */
  error = 0
  /** The box that holds everything the piece sweeps, grown by `grow`; part frame. */
  readonly low = new Float64Array(3)
  readonly high = new Float64Array(3)
  readonly piece: PieceDistance
  /** Middle of the piece on the axis, mm above the tool point. */
  readonly centre: number
  /** mm. How far around the piece anything counts. */
  readonly grow: number
  readonly #far: number

  constructor(piece: PieceDistance, grow: number) {
    const { bottom, top, radius } = piece.outline
    this.piece = piece
    this.grow = grow
    this.centre = (bottom + top) / 2
    this.#far = Math.hypot(Math.max(Math.abs(bottom), Math.abs(top)), radius) + grow
  }

  /** The stretch [from, to] of the motion that the pose has in hand. */
  set(pose: MotionPose, from: number, to: number): void {
    this.middle = (from + to) / 2
    this.half = (to - from) / 2
    // Where the axis stands still the pose keeps what the middle of the motion gave.
    pose.at(0.5)
    pose.at(this.middle)
    this.px = pose.px; this.py = pose.py; this.pz = pose.pz
    this.ax = pose.ax; this.ay = pose.ay; this.az = pose.az
    this.vx = pose.vx; this.vy = pose.vy; this.vz = pose.vz
    this.wx = pose.wx; this.wy = pose.wy; this.wz = pose.wz
    this.turn = pose.turn
    const square = 0.5 * this.half * this.half
    this.curve = square * (pose.acceleration + 2 * pose.turn * pose.speed) + roundingAllowance
    this.spin = square * (pose.turnRate + pose.turn * pose.turn)
    const far = this.#far + pose.speed * this.half
    this.error = this.curve + this.spin * far
    this.#box(pose.turn * this.half * far + this.error + this.grow)
  }

  /** How many even stretches of the motion in hand keep the error within a budget; Infinity is never answered. */
  stretches(pose: MotionPose, budget: number, most: number): number {
    let count = 1
    for (; count < most; count = Math.min(most, Math.ceil(count * 1.5))) {
      const half = 0.5 / count
      const far = this.#far + pose.speed * half
      if (0.5 * half * half * (pose.acceleration + 2 * pose.turn * pose.speed + (pose.turnRate + pose.turn * pose.turn) * far) <= budget) break
    }
    return count
  }

  #box(slack: number): void {
    const { bottom, top, radius } = this.piece.outline, { low, high, half } = this
    for (let k = 0; k < 3; k++) {
      const a = k === 0 ? this.ax : k === 1 ? this.ay : this.az
      const p = k === 0 ? this.px : k === 1 ? this.py : this.pz
      const v = k === 0 ? this.vx : k === 1 ? this.vy : this.vz
      const out = radius * Math.sqrt(Math.max(0, 1 - a * a)) + Math.abs(v) * half + slack
      low[k] = p + Math.min(a * bottom, a * top) - out
      high[k] = p + Math.max(a * bottom, a * top) + out
    }
  }
}
