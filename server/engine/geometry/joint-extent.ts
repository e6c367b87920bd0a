import { applyChain, type Kinematics } from '../../../shared/kinematics.ts'
import { MotionPose } from '../../../shared/motion-pose.ts'
import { MotionKind, type Toolpath } from '../../../shared/toolpath.ts'
import { travelTolerance } from './tolerance.ts'

/** Halvings after which an extent is taken with the margin it then has. */
const deepest = 12

/**
 * The range each joint runs through in a motion, certified: never smaller than the true one, larger
 * by at most `travelTolerance`. Between two moments a distance δ of time apart a joint q strays
 * from the chord by at most δ²/8 sup|q″|, so intervals are halved until that is small enough.
 */
export class JointExtent {
  /** Smallest and largest value of each joint in the motion last asked for. */
  readonly low: Float64Array
  readonly high: Float64Array
  readonly #k: Kinematics
  readonly #path: Toolpath
  readonly #pose: MotionPose
  readonly #lengths: ArrayLike<number>
  readonly #from: Float64Array
  readonly #to: Float64Array

  constructor(kinematics: Kinematics, path: Toolpath, lengths: ArrayLike<number>) {
    const width = path.axes.length
    this.#k = kinematics
    this.#path = path
    this.#lengths = lengths
    this.#pose = new MotionPose(kinematics, path, lengths)
    this.low = new Float64Array(width)
    this.high = new Float64Array(width)
    this.#from = new Float64Array(width)
    this.#to = new Float64Array(width)
  }

  /** Fills `low` and `high` for motion i. */
  of(i: number): void {
    const path = this.#path, width = path.axes.length
    for (let j = 0; j < width; j++) {
      const from = path.joints[i * width + j], to = path.joints[(i + 1) * width + j]
      this.low[j] = Math.min(from, to)
      this.high[j] = Math.max(from, to)
    }
    const kind = path.kind[i]
    if (kind === MotionKind.joints || Number.isNaN(this.low[0])) return
    const turns = this.#k.rotary.some(j => this.low[j] !== this.high[j])
    if (kind === MotionKind.toolLine && !turns) return
    this.#pose.begin(i)
    const bend = kind === MotionKind.jointArc ? this.#pose.acceleration : this.#jointAcceleration(i)
    this.#cover(0, 1, bend, 0)
  }

  #cover(from: number, to: number, bend: number, depth: number): void {
    const stray = (to - from) ** 2 / 8 * bend
    if (stray > travelTolerance && depth < deepest) {
      const middle = (from + to) / 2
      this.#cover(from, middle, bend, depth + 1)
      this.#cover(middle, to, bend, depth + 1)
      return
    }
    this.#pose.jointsAt(from, this.#from)
    this.#pose.jointsAt(to, this.#to)
    for (const j of this.#k.linear) {
      if (j < 0) continue
      const a = this.#from[j], b = this.#to[j]
      // The margin stands even where both ends are equal: the joint may have gone out and come back.
      this.low[j] = Math.min(this.low[j], Math.min(a, b) - stray)
      this.high[j] = Math.max(this.high[j], Math.max(a, b) + stray)
    }
  }

  /**
   * Bound on |q″| of the linear joints under tool-centre control. The tool point is carried outward
   * through the table's rotary joints and held against the head's: each rotary joint at rate ω takes
   * a point within ρ of its axis, with bounds v and w, to v + ωρ and w + 2ωv + ω²ρ; the two sums add up.
   */
  #jointAcceleration(i: number): number {
    const k = this.#k, path = this.#path, width = path.axes.length, pose = this.#pose
    const middle = new Float64Array(width)
    pose.jointsAt(0.5, middle)
    const rateOf = (joint: number) => Math.abs(path.joints[(i + 1) * width + joint] - path.joints[i * width + joint])
    const point = new Float64Array(3)
    let speed = pose.speed, bend = pose.acceleration
    const carry = (chain: Kinematics['head']) => {
      for (let n = chain.length - 1; n >= 0; n--) {
        const link = chain[n], rate = link.rotary ? rateOf(link.joint) : 0
        if (rate > 0) {
          const c = link.through
          const reach = Math.hypot(point[0] - c[0], point[1] - c[1], point[2] - c[2]) + 0.5 * speed
          bend += 2 * rate * speed + rate * rate * reach
          speed += rate * reach
        }
        applyChain([link], middle, point, true)
      }
    }
    pose.at(0.5)
    const p = [pose.px, pose.py, pose.pz], r = k.partRotation
    for (let n = 0; n < 3; n++) point[n] = r[n * 3] * p[0] + r[n * 3 + 1] * p[1] + r[n * 3 + 2] * p[2] + k.partOrigin[n]
    carry(k.table)
    const ofTable = bend
    speed = 0
    bend = 0
    const tool = path.tool[i]
    const length = tool < this.#lengths.length ? this.#lengths[tool] : 0
    for (let n = 0; n < 3; n++) point[n] = k.gauge[n] - length * k.axis[n]
    carry(k.head)
    return ofTable + bend
  }
}

/** A linear axis is carried by a rotary one: the bound on q″ above does not hold then, and ends are sampled finely. */
export function carriesLinear({ head, table }: Kinematics): boolean {
  return [head, table].some(chain => chain.some((link, i) => !link.rotary && chain.slice(0, i).some(before => before.rotary)))
}
