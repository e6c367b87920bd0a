import type { Machine } from '../../../shared/machine.ts'
import type { MotionPose } from '../../../shared/motion-pose.ts'
import { ARC_STRIDE, MotionKind, type Toolpath } from '../../../shared/toolpath.ts'
import { jointTravel, rotaryTravel } from './program-pose.ts'

/** Below this excess the difference is the rounding of the block's time. */
export const rateExcess = 1.005
/**
 * Under tool-centre control the linear joints follow the rotary ones on curves, and their rates change
 * along the block. Rates are averaged over pieces of this turn (radians): they come out too low by at most half of it, 2.5 %.
 */
const PIECE = 0.05
const MOST_PIECES = 64

/** The joint that is asked the most of, measured by what it has. */
export class WorstRate {
  joint = -1
  readonly #limits: readonly number[]
  readonly #toolpath: Toolpath
  readonly #from: Float64Array
  readonly #to: Float64Array

  constructor(machine: Machine, toolpath: Toolpath) {
    this.#limits = machine.axes.map(axis => axis.maxFeed ?? axis.rapid ?? Infinity)
    this.#toolpath = toolpath
    this.#from = new Float64Array(toolpath.axes.length)
    this.#to = new Float64Array(toolpath.axes.length)
  }

  /** Greatest rate over limit in the motion; leaves the joint in `joint`. */
  ratio(pose: MotionPose, motion: number, rotary: readonly number[]): number {
    const toolpath = this.#toolpath
    const seconds = toolpath.seconds[motion] ?? 0
    let most = 0
    this.joint = -1
    const take = (joint: number, travel: number, time: number) => {
      const ratio = Math.abs(travel) / time / (this.#limits[joint] ?? Infinity)
      if (ratio > most) {
        most = ratio
        this.joint = joint
      }
    }
    const pieces = piecesOf(toolpath, motion, rotary)
    if (pieces === 1) {
      for (let joint = 0; joint < toolpath.axes.length; joint++) take(joint, jointTravel(toolpath, motion, joint), seconds)
      return most
    }
    pose.begin(motion)
    pose.jointsAt(0, this.#from)
    for (let n = 1; n <= pieces; n++) {
      pose.jointsAt(n / pieces, this.#to)
      for (let joint = 0; joint < toolpath.axes.length; joint++) take(joint, (this.#to[joint] ?? 0) - (this.#from[joint] ?? 0), seconds / pieces)
      this.#from.set(this.#to)
    }
    return most
  }
}

/** One where the joints move evenly; an arc turns its own direction as well. */
function piecesOf(toolpath: Toolpath, motion: number, rotary: readonly number[]): number {
  if (toolpath.kind[motion] === MotionKind.joints) return 1
  const arc = toolpath.arcOf[motion] ?? -1
  const sweep = arc < 0 ? 0 : toolpath.arcs[arc * ARC_STRIDE + 9] ?? 0
  return Math.min(MOST_PIECES, Math.max(1, Math.ceil((rotaryTravel(toolpath, motion, rotary) + sweep) / PIECE)))
}
