import { applyChain, machineToPart, removeChain, type Kinematics } from './kinematics.ts'
import type { MotionPose } from './motion-pose.ts'
import { ARC_STRIDE, MotionKind, type Toolpath } from './toolpath.ts'

/** A frame that moves with the machine: at rest the machine frame, carried by the first `links` links of a chain. */
export interface LinkFrame { readonly on: 'head' | 'table', readonly links: number }

/** The part frame rides on the table's last link. */
export type MachineFrame = LinkFrame | 'part'

/** Numbers of one rigid pose: rotation row by row 9, origin 3. */
export const RIGID_STRIDE = 12

/** The frame of the link that a joint moves. */
export function frameOfJoint(k: Kinematics, joint: number): LinkFrame | undefined {
  for (const on of ['head', 'table'] as const) {
    const at = k[on].findIndex(link => link.joint === joint)
    if (at >= 0) return { on, links: at + 1 }
  }
  return undefined
}

/** Whether two frames never move against each other. */
export function isSameFrame(k: Kinematics, a: MachineFrame, b: MachineFrame): boolean {
  const one = linkOf(k, a), other = linkOf(k, b)
  return (one.on === other.on && one.links === other.links) || (one.links === 0 && other.links === 0)
}

function linkOf(k: Kinematics, frame: MachineFrame): LinkFrame {
  return frame === 'part' ? { on: 'table', links: k.table.length } : frame
}

/**
 * How one frame of the machine moves in another during a motion: the exact rigid pose at any time,
 * and a bound on how far the way of any point bends. Between two moments 2τ apart the height n · y of
 * a moving point over any fixed plane is not below its smaller end by more than ½ τ² sup|y″|.
 *
 * For the linear joints under tool-centre control the tool point is carried outward through the
 * table's joints and held against the head's; the sums of both bounds hold for the way that X, Y and
 * Z have to make up. Part frame and machine frame, mm and radians, rates per unit of t in [0, 1].
 */
export class FrameMotion {
  /** sup|y″| of the reference point over the motion in hand; Infinity where nothing can be proven. */
  bend = 0
  /** What is added to that for each mm of distance from the reference point. */
  turnBend = 0
  /** Sum of the rates of the rotary joints between the frames. */
  turn = 0
  /** The reference point, in the moving frame. */
  readonly reference = new Float64Array(3)

  readonly #k: Kinematics
  readonly #path: Toolpath
  readonly #lengths: ArrayLike<number>
  readonly #pose: MotionPose
  readonly #to: MachineFrame
  /** Joints between the frames: the moving one's links from the point outward, then the other's. */
  readonly #links: readonly { readonly link: Kinematics['head'][number], readonly sign: 1 | -1 }[]
  readonly #from: readonly Kinematics['head'][number][]
  readonly #back: readonly Kinematics['head'][number][]
  readonly #isHeadOnPart: boolean
  readonly #centre: readonly [number, number, number]
  readonly #joints: Float64Array
  readonly #vector = new Float64Array(3)
  readonly #speeds: Float64Array
  readonly #bends: Float64Array

  /** `pose` has the motion in hand that is asked for. `centre`: middle of what moves, in its own frame. */
  constructor(k: Kinematics, path: Toolpath, lengths: ArrayLike<number>, pose: MotionPose, from: LinkFrame, to: MachineFrame, centre: readonly [number, number, number]) {
    this.#k = k
    this.#path = path
    this.#lengths = lengths
    this.#pose = pose
    this.#to = to
    this.#centre = centre
    const target = linkOf(k, to)
    const common = from.on === target.on ? Math.min(from.links, target.links) : 0
    this.#from = k[from.on].slice(common, from.links)
    this.#back = k[target.on].slice(common, target.links)
    this.#links = [
      ...[...this.#from].reverse().map(link => ({ link, sign: 1 as const })),
      ...this.#back.map(link => ({ link, sign: -1 as const })),
    ]
    this.#isHeadOnPart = to === 'part' && from.on === 'head' && from.links === k.head.length
    this.#joints = new Float64Array(path.axes.length)
    this.#speeds = new Float64Array(path.axes.length)
    this.#bends = new Float64Array(path.axes.length)
  }

  /** Works out the bounds of motion i, which `pose` has in hand. */
  begin(i: number): void {
    const reference = this.reference
    this.#jointBounds(i)
    let turn = 0, pairs = 0
    for (const { link } of this.#links) {
      if (!link.rotary) continue
      const rate = this.#speeds[link.joint]
      pairs += turn * rate
      turn += rate
    }
    this.turn = turn
    this.turnBend = pairs + turn * turn
    const kind = this.#path.kind[i]
    if (this.#isHeadOnPart && (kind === MotionKind.toolLine || kind === MotionKind.toolArc)) {
      // The tool point's own way is known, and everything on the spindle's link turns about it.
      const length = this.#lengthOf(i)
      for (let n = 0; n < 3; n++) reference[n] = this.#k.gauge[n] - length * this.#k.axis[n]
      this.bend = this.#pose.acceleration
      return
    }
    reference.set(this.#centre)
    this.#pose.jointsAt(0.5, this.#joints)
    const walk = new Walk(reference)
    for (const { link, sign } of this.#links) walk.pass(link, sign * this.#joints[link.joint], this.#speeds[link.joint], this.#bends[link.joint])
    this.bend = walk.bend
  }

  /** Writes the pose at time t: a point x of the moving frame stands at R x + o in the other one. */
  poseAt(t: number, out: Float64Array, at: number): void {
    this.#pose.jointsAt(t, this.#joints)
    const v = this.#vector, joints = this.#joints
    for (let column = 0; column < 4; column++) {
      v.fill(0)
      const isPoint = column === 3
      if (!isPoint) v[column] = 1
      applyChain(this.#from, joints, v, isPoint)
      if (this.#to === 'part') this.#intoPart(v, isPoint)
      else removeChain(this.#back, joints, v, isPoint)
      for (let row = 0; row < 3; row++) out[at + (isPoint ? 9 + row : row * 3 + column)] = v[row]
    }
  }

  #intoPart(v: Float64Array, isPoint: boolean): void {
    machineToPart(this.#partial(), this.#joints, v, isPoint)
  }

  #kinematicsBack: Kinematics | undefined

  /** The kinematics with only those table links that do not carry both frames. */
  #partial(): Kinematics {
    this.#kinematicsBack ??= { ...this.#k, table: this.#back }
    return this.#kinematicsBack
  }

  #lengthOf(i: number): number {
    const tool = this.#path.tool[i]
    return tool < this.#lengths.length ? this.#lengths[tool] : 0
  }

  /** Bounds on the rate of every joint and on its change. */
  #jointBounds(i: number): void {
    const { joints, kind } = this.#path, width = this.#speeds.length
    for (let j = 0; j < width; j++) {
      this.#speeds[j] = Math.abs(joints[(i + 1) * width + j] - joints[i * width + j])
      this.#bends[j] = 0
    }
    if (kind[i] === MotionKind.jointArc) this.#arcBounds(i)
    if (kind[i] !== MotionKind.toolLine && kind[i] !== MotionKind.toolArc) return
    const { linear, linearInverse: m } = this.#k
    const needed = this.#links.some(({ link }) => linear.includes(link.joint))
    // Where nothing turns, a straight way of the tool point is a straight way of every joint.
    const turns = this.#k.rotary.some(j => this.#speeds[j] > 0)
    if (!needed || (!turns && kind[i] === MotionKind.toolLine)) return
    if (m === undefined) {
      for (const j of linear) if (j >= 0) this.#bends[j] = Infinity
      return
    }
    const [speed, bend] = this.#wayToMakeUp(i)
    for (let n = 0; n < 3; n++) {
      if (linear[n] < 0) continue
      const row = Math.hypot(m[n * 3], m[n * 3 + 1], m[n * 3 + 2])
      this.#speeds[linear[n]] = row * speed
      this.#bends[linear[n]] = row * bend
    }
  }

  #arcBounds(i: number): void {
    const { joints, arcs, arcOf } = this.#path, width = this.#speeds.length, { linear } = this.#k
    const a = arcs.subarray(arcOf[i] * ARC_STRIDE, (arcOf[i] + 1) * ARC_STRIDE)
    const normal = [a[4] * a[8] - a[5] * a[7], a[5] * a[6] - a[3] * a[8], a[3] * a[7] - a[4] * a[6]]
    const rise = linear.reduce((sum, j, n) => j < 0 ? sum : sum + normal[n] * (joints[(i + 1) * width + j] - joints[i * width + j]), 0)
    const sweep = a[9], most = Math.max(a[10], a[11]), growth = Math.abs(a[11] - a[10])
    for (const j of linear) {
      if (j < 0) continue
      this.#speeds[j] = Math.hypot(sweep * most, growth, rise)
      this.#bends[j] = sweep * sweep * most + 2 * sweep * growth
    }
  }

  /** Bounds on rate and change of the way, machine frame, that X, Y and Z make up under tool-centre control. */
  #wayToMakeUp(i: number): [number, number] {
    const k = this.#k, pose = this.#pose, r = k.partRotation
    pose.jointsAt(0.5, this.#joints)
    pose.at(0.5)
    const p = [pose.px, pose.py, pose.pz]
    const point = Float64Array.from([0, 1, 2], n => r[n * 3] * p[0] + r[n * 3 + 1] * p[1] + r[n * 3 + 2] * p[2] + k.partOrigin[n])
    const ofTable = new Walk(point, pose.speed, pose.acceleration)
    const length = this.#lengthOf(i)
    const ofHead = new Walk(Float64Array.from([0, 1, 2], n => k.gauge[n] - length * k.axis[n]))
    for (const [walk, chain] of [[ofTable, k.table], [ofHead, k.head]] as const) {
      for (const link of [...chain].reverse()) {
        // X, Y and Z are what is looked for: they take the point along, and no share in its rate.
        const rate = k.linear.includes(link.joint) ? 0 : this.#speeds[link.joint]
        walk.pass(link, this.#joints[link.joint], rate, 0)
      }
    }
    return [ofTable.speed + ofHead.speed, ofTable.bend + ofHead.bend]
  }
}

/** Carries bounds on a point's speed and on its change through one joint after the other. */
class Walk {
  speed: number
  bend: number
  readonly #point: Float64Array

  constructor(point: Float64Array, speed = 0, bend = 0) {
    this.#point = Float64Array.from(point)
    this.speed = speed
    this.bend = bend
  }

  /** The joint stands at `value` in mid-motion. A rotary one at rate ω takes a point within ρ of its axis, with bounds v and w, to v + ωρ and w + 2ωv + ω²ρ. */
  pass(link: Kinematics['head'][number], value: number, rate: number, bend: number): void {
    const p = this.#point
    if (!link.rotary) {
      this.speed += rate
      this.bend += bend
    } else if (rate > 0) {
      const c = link.through
      const reach = Math.hypot(p[0] - c[0], p[1] - c[1], p[2] - c[2]) + 0.5 * this.speed
      this.bend += 2 * rate * this.speed + rate * rate * reach
      this.speed += rate * reach
    }
    const joints: number[] = []
    joints[link.joint] = value
    applyChain([link], joints, p, true)
  }
}
