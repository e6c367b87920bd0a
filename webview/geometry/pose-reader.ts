import type { Point } from '../../shared/finding.ts'
import { frameOfJoint } from '../../shared/frame-motion.ts'
import { applyChain, machineToPart } from '../../shared/kinematics.ts'
import type { Kinematics } from '../../shared/kinematics.ts'
import { MotionPose } from '../../shared/motion-pose.ts'
import { MotionFlag, NO_TOOL } from '../../shared/toolpath.ts'
import type { Moment, MotionTable } from './motion-table.ts'

/** The tool at a moment. mm and unit vectors in the part frame; joints in mm and radians. */
export interface MomentPose {
  readonly point: Point
  readonly axis: Point
  readonly joints: Float64Array
  /** Index into the scene's tools; undefined: none in the spindle, or not in the sheet. */
  readonly tool: number | undefined
}

/** Works out poses from the packed motions: exact, by the same code as the checks. */
export class PoseReader {
  readonly pose: MotionPose
  readonly #table: MotionTable
  readonly #joints: Float64Array
  #begun = -1

  constructor(table: MotionTable) {
    this.#table = table
    this.pose = new MotionPose(table.kinematics, table.path, table.lengths)
    this.#joints = new Float64Array(table.path.axes.length)
  }

  /** Brings `pose` to the moment. False where the start of the motion is not known. */
  go(motion: number, t: number): boolean {
    if ((this.#table.path.flags[motion] & MotionFlag.unknownStart) !== 0) return false
    if (motion !== this.#begun) {
      this.pose.begin(motion)
      this.#begun = motion
    }
    this.pose.at(t)
    return Number.isFinite(this.pose.px + this.pose.py + this.pose.pz + this.pose.ax)
  }

  /** Undefined where the pose is not known. */
  at({ motion, t }: Moment): MomentPose | undefined {
    if (!this.go(motion, t)) return undefined
    const { px, py, pz, ax, ay, az } = this.pose
    this.pose.jointsAt(t, this.#joints)
    const tool = this.#table.path.tool[motion]
    return {
      point: [px, py, pz],
      axis: [ax, ay, az],
      joints: this.#joints.slice(),
      tool: tool === NO_TOOL || tool >= this.#table.lengths.length ? undefined : tool,
    }
  }
}

/**
 * Where a link's frame, the machine frame with every joint at zero, stands in the part frame at these joints:
 * three columns of the rotation, then the origin. `joint` undefined: the machine's base.
 */
export function linkInPart(k: Omit<Kinematics, 'linearInverse'>, joint: number | undefined, joints: ArrayLike<number>): readonly [Point, Point, Point, Point] {
  const frame = joint === undefined ? undefined : frameOfJoint(k, joint)
  const chain = frame === undefined ? [] : k[frame.on].slice(0, frame.links)
  const carry = (vector: Float64Array, isPoint: boolean): Point => {
    applyChain(chain, joints, vector, isPoint)
    machineToPart(k, joints, vector, isPoint)
    return [vector[0], vector[1], vector[2]]
  }
  const along = (n: number) => carry(Float64Array.from([0, 1, 2], one => one === n ? 1 : 0), false)
  return [along(0), along(1), along(2), carry(new Float64Array(3), true)]
}

/** The direction of a rotary joint's axis in the part frame at these joints. */
export function rotaryAxisInPart(k: Omit<Kinematics, 'linearInverse'>, joint: number, joints: ArrayLike<number>): Point | undefined {
  const link = [...k.head, ...k.table].find(one => one.joint === joint)
  if (link === undefined) return undefined
  const [x, y, z] = linkInPart(k, joint, joints)
  const { direction } = link
  const along = (n: 0 | 1 | 2) => x[n] * direction[0] + y[n] * direction[1] + z[n] * direction[2]
  return [along(0), along(1), along(2)]
}
