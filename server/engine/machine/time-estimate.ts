import type { Kinematics } from '../../../shared/kinematics.ts'
import type { Axis, Machine } from '../../../shared/machine.ts'
import { MotionPose } from '../../../shared/motion-pose.ts'
import { ARC_STRIDE, MotionFlag, MotionKind, NO_TOOL, type Toolpath } from '../../../shared/toolpath.ts'

// How long the machine takes: the programmed feeds, cut down to what the axes have, with their
// accelerations. An estimate: the control's own jerk limits, smoothing and waiting are not known.
//
// Model. Along a feed motion the speed is a trapezoid: it rises and falls with the acceleration of the
// axis that has the least to give in that direction. A corner is rounded by a parabola that leaves it
// by CORNER at most; an axis with acceleration a can then change its rate by √(8 a CORNER) at once
// (deviation a τ²/8 for a change over τ, from s = a t²/2). Runs of motions are planned backward and
// forward, so that every speed can be reached and braked from, as in Biagiotti and Melchiorri, Trajectory
// Planning for Automatic Machines and Robots (2008), for the trapezoid. Rapids run from rest to rest.

/** How far a rounded corner may leave the programmed one: mm, and degrees for rotary axes. */
const CORNER = 0.01
/** A curved motion is planned in pieces that turn no further than this; radians. */
const PIECE = 0.3
const MOST_PIECES = 256

/** Numbers of a planned piece: length, top speed, acceleration, top speed at its start. All in joint space scaled by the axes' accelerations, so s², s, 1, s. */
const STRIDE = 4

/** Seconds of all motions of the program; `lengths`: gauge length by tool index. Motions without a feed count as nothing. */
export function estimateSeconds(toolpath: Toolpath, machine: Machine, kinematics: Kinematics, lengths: ArrayLike<number>): number {
  const plan = new Plan(machine, toolpath, kinematics, lengths)
  for (let i = 0; i < toolpath.count;) i = plan.take(i)
  plan.rest()
  return plan.seconds
}

/** The same for each tool by itself, by tool index: at a change of the tool the machine stands still. */
export function estimateSecondsByTool(toolpath: Toolpath, machine: Machine, kinematics: Kinematics, lengths: ArrayLike<number>): Map<number, number> {
  const plan = new Plan(machine, toolpath, kinematics, lengths), byTool = new Map<number, number>()
  for (let i = 0; i < toolpath.count;) {
    const tool = toolpath.tool[i] ?? NO_TOOL, before = plan.seconds
    while (i < toolpath.count && toolpath.tool[i] === tool) i = plan.take(i)
    plan.rest()
    byTool.set(tool, (byTool.get(tool) ?? 0) + plan.seconds - before)
  }
  return byTool
}

/** From rest to rest over a way, with a top speed and an acceleration. */
export function restToRest(way: number, speed: number, acceleration: number): number {
  if (!(way > 0)) return 0
  if (acceleration === Infinity) return way / speed
  return way >= speed * speed / acceleration ? way / speed + speed / acceleration : 2 * Math.sqrt(way / acceleration)
}

class Plan {
  seconds = 0
  readonly #path: Toolpath
  readonly #width: number
  readonly #rotary: readonly number[]
  readonly #pose: MotionPose
  readonly #straightRapid: boolean
  readonly #acceleration: Float64Array
  readonly #feedRate: Float64Array
  readonly #rapidRate: Float64Array
  readonly #jump: Float64Array
  readonly #from: Float64Array
  readonly #middle: Float64Array
  readonly #to: Float64Array
  /** Joint rates for speed one at the end of the piece before. */
  readonly #leaving: Float64Array
  #pieces = new Float64Array(1024 * STRIDE)
  #count = 0

  constructor(machine: Machine, path: Toolpath, kinematics: Kinematics, lengths: ArrayLike<number>) {
    this.#path = path
    this.#width = path.axes.length
    this.#rotary = kinematics.rotary
    this.#pose = new MotionPose(kinematics, path, lengths)
    this.#straightRapid = machine.control.rapid === 'straight'
    this.#acceleration = Float64Array.from(machine.axes, accelerationOf)
    this.#feedRate = Float64Array.from(machine.axes, axis => axis.maxFeed ?? axis.rapid ?? Infinity)
    this.#rapidRate = Float64Array.from(machine.axes, axis => axis.rapid ?? Infinity)
    this.#jump = Float64Array.from(machine.axes, axis => Math.sqrt(8 * accelerationOf(axis) * (axis.kind === 'rotary' ? CORNER * Math.PI / 180 : CORNER)))
    this.#from = new Float64Array(this.#width)
    this.#middle = new Float64Array(this.#width)
    this.#to = new Float64Array(this.#width)
    this.#leaving = new Float64Array(this.#width)
  }

  /** Takes motion i, with the further legs of a rapid, and answers with the one behind. */
  take(i: number): number {
    const path = this.#path, flags = path.flags[i] ?? 0, seconds = path.seconds[i] ?? 0
    if ((flags & MotionFlag.unknownStart) !== 0) {
      this.rest()
      if (Number.isFinite(seconds)) this.seconds += seconds
      return i + 1
    }
    if ((flags & MotionFlag.rapid) === 0) {
      if (seconds > 0) this.#addMotion(i, seconds, this.#feedRate)
      return i + 1
    }
    this.rest()
    if (path.kind[i] !== MotionKind.joints) {
      if (seconds > 0) this.#addMotion(i, seconds, this.#rapidRate)
      this.rest()
      return i + 1
    }
    let end = i + 1
    if (!this.#straightRapid) while (end < path.count && isLegOf(path, i, end)) end++
    this.seconds += this.#rapid(i, end)
    return end
  }

  /** The machine comes to a stand: plans what has gathered and adds its time. */
  rest(): void {
    const pieces = this.#pieces, n = this.#count
    this.#count = 0
    if (n === 0) return
    // Top speeds at the starts: backward what can be braked from, forward what can be reached.
    let after = 0
    for (let i = n - 1; i >= 0; i--) {
      const at = i * STRIDE
      after = Math.min(pieces[at + 3] ?? 0, Math.sqrt(after * after + 2 * (pieces[at + 2] ?? 0) * (pieces[at] ?? 0)))
      pieces[at + 3] = after
    }
    let speed = 0
    for (let i = 0; i < n; i++) {
      const at = i * STRIDE, length = pieces[at] ?? 0, top = pieces[at + 1] ?? 0, acceleration = pieces[at + 2] ?? 0
      const reached = Math.sqrt(speed * speed + 2 * acceleration * length)
      const end = i === n - 1 ? 0 : Math.min(pieces[at + STRIDE + 3] ?? 0, reached)
      const peak = Math.max(speed, end, Math.min(top, Math.sqrt((2 * acceleration * length + speed * speed + end * end) / 2)))
      const even = length - (2 * peak * peak - speed * speed - end * end) / (2 * acceleration)
      this.seconds += (2 * peak - speed - end) / acceleration + Math.max(0, even) / peak
      speed = end
    }
  }

  #rapid(first: number, end: number): number {
    const joints = this.#path.joints, width = this.#width
    let longest = 0, rate = Infinity, acceleration = Infinity
    for (let j = 0; j < width; j++) {
      const way = Math.abs((joints[end * width + j] ?? 0) - (joints[first * width + j] ?? 0))
      if (!(way > 0) || this.#rapidRate[j] === Infinity) continue
      const top = this.#rapidRate[j] ?? Infinity, most = this.#acceleration[j] ?? Infinity
      longest = Math.max(longest, restToRest(way, top, most))
      rate = Math.min(rate, top / way)
      acceleration = Math.min(acceleration, most / way)
    }
    // Straight: the axis that needs longest, or has the least acceleration, holds the others back.
    return this.#straightRapid && rate < Infinity ? restToRest(1, rate, acceleration) : longest
  }

  #addMotion(i: number, seconds: number, rates: Float64Array): void {
    const path = this.#path, width = this.#width
    for (let j = 0; j < width; j++) this.#from[j] = path.joints[i * width + j] ?? 0
    let turn = (path.arcOf[i] ?? -1) < 0 ? 0 : path.arcs[(path.arcOf[i] ?? 0) * ARC_STRIDE + 9] ?? 0
    for (const j of this.#rotary) turn += Math.abs((path.joints[(i + 1) * width + j] ?? 0) - (this.#from[j] ?? 0))
    // While the rotary axes rest, a straight way of the tool point is one of the joints too.
    if (path.kind[i] === MotionKind.joints || turn === 0) {
      this.#takeEnd(i)
      for (let j = 0; j < width; j++) this.#middle[j] = ((this.#from[j] ?? 0) + (this.#to[j] ?? 0)) / 2
      this.#addPiece(seconds, rates)
      return
    }
    const count = Math.min(MOST_PIECES, Math.max(1, Math.ceil(turn / PIECE)))
    this.#pose.begin(i)
    for (let n = 0; n < count; n++) {
      this.#pose.jointsAt((n + 0.5) / count, this.#middle)
      if (n === count - 1) this.#takeEnd(i)
      else this.#pose.jointsAt((n + 1) / count, this.#to)
      this.#addPiece(seconds / count, rates)
      this.#from.set(this.#to)
    }
  }

  #takeEnd(i: number): void {
    for (let j = 0; j < this.#width; j++) this.#to[j] = this.#path.joints[(i + 1) * this.#width + j] ?? 0
  }

  /** Adds a parabola through three places of the joints, run in `seconds` where the axes allow it. */
  #addPiece(seconds: number, rates: Float64Array): void {
    let squares = 0, pace = 1 / seconds, gain = Infinity
    for (let j = 0; j < this.#width; j++) {
      const a = this.#from[j] ?? 0, b = this.#middle[j] ?? 0, c = this.#to[j] ?? 0, most = this.#acceleration[j] ?? Infinity
      const rate = Math.max(Math.abs(4 * b - 3 * a - c), Math.abs(a - 4 * b + 3 * c)), bend = Math.abs(4 * (a - 2 * b + c))
      if (rate === 0) continue
      pace = Math.min(pace, (rates[j] ?? Infinity) / rate, bend > 0 ? Math.sqrt(most / bend) : Infinity)
      gain = Math.min(gain, most / rate)
      squares += ((c - a) / most) ** 2
    }
    const length = Math.sqrt(squares)
    if (!(length > 0) || gain === Infinity) {
      // No acceleration is known of the axes that move: they run as told.
      this.rest()
      this.seconds += 1 / pace
      return
    }
    let corner = this.#count === 0 ? 0 : Infinity
    for (let j = 0; j < this.#width; j++) {
      const a = this.#from[j] ?? 0, b = this.#middle[j] ?? 0, c = this.#to[j] ?? 0
      const change = Math.abs((4 * b - 3 * a - c) / length - (this.#leaving[j] ?? 0))
      if (change > 1e-12) corner = Math.min(corner, (this.#jump[j] ?? Infinity) / change)
      this.#leaving[j] = (a - 4 * b + 3 * c) / length
    }
    const at = this.#count * STRIDE
    if (at === this.#pieces.length) {
      const more = new Float64Array(at * 2)
      more.set(this.#pieces)
      this.#pieces = more
    }
    const top = length * pace
    this.#pieces[at] = length
    this.#pieces[at + 1] = top
    this.#pieces[at + 2] = length * gain
    this.#pieces[at + 3] = Math.min(corner, top, this.#count === 0 ? Infinity : this.#pieces[at - STRIDE + 1] ?? Infinity)
    this.#count++
  }
}

/** A further leg of the rapid that begins with motion `first`. */
function isLegOf(path: Toolpath, first: number, i: number): boolean {
  const flags = path.flags[i] ?? 0
  return path.line[i] === path.line[first] && path.kind[i] === MotionKind.joints
    && (flags & MotionFlag.rapid) !== 0 && (flags & MotionFlag.unknownStart) === 0
}

/** mm/s² or rad/s²; endless where the machine file does not say. */
function accelerationOf(axis: Axis): number {
  const given = axis.acceleration ?? Infinity
  return axis.kind === 'rotary' ? given : given * 1000
}
