import { components } from '../../shared/finding.ts'
import type { AxisDescription, LimitsFrom, MotionsDescription } from '../../shared/protocol/scene-messages.ts'
import { isSameRun, MotionFlag } from '../../shared/toolpath.ts'
import type { Toolpath } from '../../shared/toolpath.ts'

/** A moment of the program: a motion, and how far through it, 0 to 1. */
export interface Moment {
  readonly motion: number
  readonly t: number
}

/** What the search has found, four components a motion in the order of `components`; see `ContactDescription`. */
export interface ContactArrays {
  readonly value: Float32Array
  readonly certified: Float32Array
  readonly limits: readonly LimitsFrom[]
}

/** The motions of a program as they are looked through: by time, by line and block after block. */
export class MotionTable {
  readonly path: Toolpath
  readonly axes: readonly AxisDescription[]
  readonly kinematics: MotionsDescription['kinematics']
  readonly lengths: readonly number[]
  /** Seconds from the start of the program to the end of each motion. */
  readonly ends: Float64Array
  /** The last motion of each line or, where it moves nothing, of the nearest line before it that does; -1: none. */
  readonly #lastUpTo: Int32Array

  constructor(path: Toolpath, { axes, kinematics, lengths }: MotionsDescription) {
    this.path = path
    this.axes = axes
    this.kinematics = kinematics
    this.lengths = lengths
    this.ends = new Float64Array(path.count)
    let clock = 0, lastLine = -1
    for (let i = 0; i < path.count; i++) {
      const seconds = path.seconds[i]
      // A motion whose time is not known takes none here; the strip says so.
      if (seconds > 0 && seconds < Infinity) clock += seconds
      this.ends[i] = clock
      lastLine = Math.max(lastLine, path.line[i])
    }
    this.#lastUpTo = new Int32Array(lastLine + 1).fill(-1)
    for (let i = 0; i < path.count; i++) this.#lastUpTo[path.line[i]] = i
    for (let line = 1; line <= lastLine; line++) {
      if (this.#lastUpTo[line] < 0) this.#lastUpTo[line] = this.#lastUpTo[line - 1]
    }
  }

  get count(): number { return this.path.count }

  /** Length of the program, seconds. */
  get duration(): number { return this.count === 0 ? 0 : this.ends[this.count - 1] }

  isRapid(motion: number): boolean {
    return (this.path.flags[motion] & MotionFlag.rapid) !== 0
  }

  /** Seconds since the start of the program. */
  secondsAt({ motion, t }: Moment): number {
    const before = motion === 0 ? 0 : this.ends[motion - 1]
    return before + (this.ends[motion] - before) * t
  }

  /** Where the program is after so many seconds. */
  momentAt(seconds: number): Moment {
    let low = 0, high = this.count - 1
    while (low < high) {
      const middle = (low + high) >> 1
      if (this.ends[middle] < seconds) low = middle + 1
      else high = middle
    }
    const before = low === 0 ? 0 : this.ends[low - 1]
    const length = this.ends[low] - before
    return { motion: low, t: length > 0 ? Math.min(1, Math.max(0, (seconds - before) / length)) : 1 }
  }

  /** Where the tool stands when a line's block is done; undefined before the first motion. */
  momentAfterLine(line: number): Moment | undefined {
    if (line < 0 || this.#lastUpTo.length === 0) return undefined
    const motion = this.#lastUpTo[Math.min(line, this.#lastUpTo.length - 1)]
    return motion < 0 ? undefined : { motion, t: 1 }
  }

  /** The first and the last motion of the run of the block that a motion belongs to. */
  runOf(motion: number): { readonly first: number, readonly last: number } {
    let first = motion, last = motion
    while (first > 0 && isSameRun(this.path, first - 1, motion)) first--
    while (last + 1 < this.count && isSameRun(this.path, last + 1, motion)) last++
    return { first, last }
  }

  /** The first and last motion of the lines [firstLine, lastLine], in the order in which they are run; undefined where they move nothing. */
  motionsOfLines(firstLine: number, lastLine: number): { readonly first: number, readonly last: number } | undefined {
    let first = -1, last = -1
    for (let i = 0; i < this.count; i++) {
      if (this.path.line[i] < firstLine || this.path.line[i] > lastLine) continue
      if (first < 0) first = i
      last = i
    }
    return first < 0 ? undefined : { first, last }
  }

  /** Block by block: the end of the block in hand or of the next one, or the end of the one before. */
  step(from: Moment | undefined, direction: 1 | -1): Moment | undefined {
    if (this.count === 0) return undefined
    if (from === undefined) return direction === 1 ? { motion: this.runOf(0).last, t: 1 } : undefined
    const { first, last } = this.runOf(from.motion)
    if (direction === -1) return first > 0 ? { motion: first - 1, t: 1 } : { motion: 0, t: 0 }
    if (from.motion < last || from.t < 1) return { motion: last, t: 1 }
    return last + 1 < this.count ? { motion: this.runOf(last + 1).last, t: 1 } : undefined
  }
}

/** The smallest distance that was allowed to a component in a motion, mm. */
export function allowedIn(limits: readonly LimitsFrom[], motion: number, rapid: boolean, component: number): number | undefined {
  let low = 0, high = limits.length - 1
  if (high < 0) return undefined
  while (low < high) {
    const middle = (low + high + 1) >> 1
    if (limits[middle].motion <= motion) low = middle
    else high = middle - 1
  }
  return (rapid ? limits[low].rapid : limits[low].feed)[component]
}

/** How many figures a motion has. */
export const FIGURES = components.length

