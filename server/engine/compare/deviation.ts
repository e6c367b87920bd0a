import { NO_TOOL } from '../../../shared/toolpath.ts'
import type { MatchedPart } from './matching.ts'
import { axisAngle, type PathPose, pointDistance } from './path-pose.ts'

/** How far two matched parts come apart, at most: attained at one moment, and nowhere more than `atMost`. */
export interface Deviation {
  readonly value: number
  readonly atMost: number
  /** Motions of the old and the new path, and the new tool point there (part frame, mm). */
  readonly oldMotion: number
  readonly newMotion: number
  readonly point: readonly [number, number, number]
}

export interface PathDeviation {
  /** mm. */
  readonly point: Deviation
  /** radians. */
  readonly axis: Deviation
  /** The rotary joint that stands farthest from where it stood, radians, and its index; 0 where none does. */
  readonly rotary: { readonly joint: number, readonly angle: number }
}

/** Widths to which the largest deviation is proven: mm, radians. */
export const POINT_WIDTH = 1e-4
export const AXIS_WIDTH = 1e-5

/** Halvings of a part after which its bound is left as wide as it is. */
const MOST_HALVINGS = 24

/** Moments looked at in one part. */
const MOST_MOMENTS = 20_000

/**
 * The largest distance of tool points and angle of tool axes over matched parts, by branch and
 * bound in time. Over u in [0, 1] both motions run evenly, so with w = p - q, |w′| is not above the sum
 * of the speeds, and where w bends by no more than A, |w| is nowhere above the larger of its ends
 * by more than A h² / 8 over a piece of length h: on straight lines the ends decide. Rotary joints turn
 * evenly, and two tool axes differ by no more than their rotary joints do in sum. NaN where a pose is not known,
 * which is so too where only one of the programs has a tool of known length in the spindle.
 */
export function deviationOf(old: PathPose, now: PathPose, rotary: readonly number[], parts: readonly MatchedPart[]): PathDeviation {
  const search = new DeviationSearch(old, now, rotary)
  for (const part of parts) search.take(part)
  return search.result()
}

class DeviationSearch {
  readonly #old: PathPose
  readonly #new: PathPose
  readonly #rotary: readonly number[]
  readonly #point = new Largest()
  readonly #axis = new Largest()
  #joint = -1
  #angle = 0

  constructor(old: PathPose, now: PathPose, rotary: readonly number[]) {
    this.#old = old
    this.#new = now
    this.#rotary = rotary
  }

  take(part: MatchedPart): void {
    const { old, new: now } = part
    const older = this.#old.go(old.motion, old.from), newer = this.#new.go(now.motion, now.from)
    const a = Math.abs(old.to - old.from), b = Math.abs(now.to - now.from)
    const pace = a * older.speed + b * newer.speed, bend = a * a * older.acceleration + b * b * newer.acceleration
    const turn = a * older.turn + b * newer.turn
    const turned = this.#rotary.map((joint): readonly [number, number] => [
      this.#old.joint(old.motion, old.from, joint) - this.#new.joint(now.motion, now.from, joint),
      this.#old.joint(old.motion, old.to, joint) - this.#new.joint(now.motion, now.to, joint),
    ])
    const ends = (from: number, to: number, atFrom: number, atTo: number) => {
      const h = to - from
      return Math.min((atFrom + atTo + pace * h) / 2, Math.max(atFrom, atTo) + bend * h * h / 8)
    }
    const joints = (from: number, to: number, atFrom: number, atTo: number) => {
      const apart = turned.reduce((sum, [a0, a1]) => sum + Math.max(Math.abs(a0 + (a1 - a0) * from), Math.abs(a0 + (a1 - a0) * to)), 0)
      return Math.min((atFrom + atTo + turn * (to - from)) / 2, apart)
    }
    const oldTool = this.#old.tool(old.motion), newTool = this.#new.tool(now.motion)
    const isPointKnown = oldTool === newTool || oldTool !== NO_TOOL && newTool !== NO_TOOL
    this.#search(part, this.#point, POINT_WIDTH, () => isPointKnown ? pointDistance(older, newer) : Number.NaN, ends)
    this.#search(part, this.#axis, AXIS_WIDTH, () => axisAngle(older, newer), joints)
    turned.forEach((apart, n) => {
      const angle = Math.max(...apart.map(Math.abs))
      if (angle > this.#angle) [this.#angle, this.#joint] = [angle, this.#rotary[n] ?? -1]
    })
  }

  result(): PathDeviation {
    return { point: this.#point.result(), axis: this.#axis.result(), rotary: { joint: this.#joint, angle: this.#angle } }
  }

  /** `boundOf`: what the figure does not exceed from one moment to another, with its values there. */
  #search(part: MatchedPart, largest: Largest, width: number, figure: () => number, boundOf: (from: number, to: number, atFrom: number, atTo: number) => number): void {
    const at = (u: number): number => {
      const { old, new: now } = part
      this.#old.go(old.motion, old.from + (old.to - old.from) * u)
      const pose = this.#new.go(now.motion, now.from + (now.to - now.from) * u)
      const value = figure()
      largest.see(value, old.motion, now.motion, [pose.px, pose.py, pose.pz])
      return value
    }
    const open: [from: number, to: number, atFrom: number, atTo: number][] = [[0, 1, at(0), at(1)]]
    let moments = 2
    for (let piece = open.pop(); piece !== undefined; piece = open.pop()) {
      const [from, to, atFrom, atTo] = piece, bound = boundOf(from, to, atFrom, atTo)
      if (!(bound > largest.value + width) || to - from < 2 ** -MOST_HALVINGS || moments > MOST_MOMENTS) {
        largest.bound(bound)
        continue
      }
      const middle = (from + to) / 2, atMiddle = at(middle)
      moments++
      open.push([from, middle, atFrom, atMiddle], [middle, to, atMiddle, atTo])
    }
  }
}

/** The largest figure so far with its place, and what nothing exceeds. */
class Largest {
  value = 0
  #atMost = 0
  #unknown = false
  #old = -1
  #new = -1
  #point: readonly [number, number, number] = [0, 0, 0]

  see(value: number, old: number, now: number, point: readonly [number, number, number]): void {
    if (Number.isNaN(value)) this.#unknown = true
    if (!(value > this.value) && this.#old >= 0) return
    if (value > this.value) this.value = value
    this.#old = old
    this.#new = now
    this.#point = point
  }

  bound(atMost: number): void {
    if (atMost > this.#atMost) this.#atMost = atMost
  }

  result(): Deviation {
    return {
      value: this.#unknown ? Number.NaN : this.value,
      atMost: this.#unknown ? Number.NaN : Math.max(this.value, this.#atMost),
      oldMotion: this.#old, newMotion: this.#new, point: this.#point,
    }
  }
}
