import type { Cancellation } from '../../../shared/cancellation.ts'
import type { MotionFault } from '../contact/motion-faults.ts'
import type { Stretch } from './stretch.ts'

export interface EndTask {
  /** Whether a fault is one of the barrier at which the path is to end. */
  readonly isCrossing: (fault: MotionFault) => boolean
  readonly round: (stretch: Stretch, station: number) => string | undefined
  readonly cancellation: Cancellation
}

/** The way left out in all, mm, and why it could not be ended and joined where it could not. */
export interface EndAnswer { readonly leftOut: number, readonly stays: readonly string[] }

/** Rounds of searching: the way that joins two ends can cross as well. */
const mostRounds = 5

/** Halvings by which the place of a crossing is found: a millionth of a block. */
const halvings = 20

/** mm. An end this near to a block's own end is that end; and how far an end is drawn back where rounding takes it over the limit. */
const sameEnd = 1e-3
const drawBack = 0.002
const mostDraws = 4

/**
 * Ends the path where it reaches a barrier and joins it to where it comes out again: what lies between is left out, and one straight
 * motion joins the two ends. Answers with the way left out, mm.
 */
export function endPath(stretch: Stretch, task: EndTask): EndAnswer {
  let leftOut = 0, stays: readonly string[] = []
  for (let round = 0; round < mostRounds; round++) {
    if (task.cancellation.cancelled()) return { leftOut, stays: ['it was called off'] }
    const crossings = crossingsOf(stretch.faults(stretch.search(1, stretch.count - 1)).filter(task.isCrossing))
    if (crossings.length === 0) return { leftOut, stays: [] }
    // From the last one on: what is left out there moves nothing before it.
    const joined = crossings.reverse().map(crossing => joinOver(stretch, task, crossing))
    stays = joined.filter(each => typeof each === 'string')
    for (const each of joined) if (typeof each === 'number') leftOut += each
    if (stays.length === joined.length) return { leftOut, stays }
  }
  return { leftOut, stays: stays.length > 0 ? stays : ['the path that is joined crosses it again'] }
}

/** Motions that lie beyond the barrier at some moment, one after the other; a moment of the first and the last at which they do. */
interface Crossing { readonly first: number, readonly last: number, readonly inFirst: number, readonly inLast: number }

function crossingsOf(faults: readonly MotionFault[]): Crossing[] {
  const times = new Map(faults.map(fault => [fault.motion, fault.time]))
  const motions = [...times.keys()].sort((a, b) => a - b)
  const crossings: Crossing[] = []
  for (let i = 0; i < motions.length; i++) {
    const first = motions[i]
    while (motions[i + 1] === motions[i] + 1) i++
    crossings.push({ first, last: motions[i], inFirst: times.get(first) ?? 0.5, inLast: times.get(motions[i]) ?? 0.5 })
  }
  return crossings
}

/** Ends the path at one crossing and joins it; the way left out, or why it cannot be. */
function joinOver(stretch: Stretch, task: EndTask, { first, last, inFirst, inLast }: Crossing): number | string {
  const isOver = (k: number, t: number) => crosses(stretch, k, t, task)
  if (isOver(first, 0)) return 'the path begins beyond it'
  if (isOver(last, 1)) return 'the path does not come out again where it can be joined'
  if (first === last) return 'a single block goes through it and out again: its ends stand where they may'
  const entry = boundary(t => isOver(first, t), 0, inFirst), exit = boundary(t => isOver(last, t), 1, inLast)
  let way = 0
  for (let k = first; k <= last; k++) way += stretch.wayOf(k)
  way -= entry * stretch.wayOf(first) + (1 - exit) * stretch.wayOf(last)
  const count = stretch.count, from = endAt(stretch, first, entry, task)
  if (typeof from === 'string') return from
  const to = endAt(stretch, last + stretch.count - count, exit, task, true)
  if (typeof to === 'string') return to
  stretch.join(from, to)
  return way
}

/** The station at which a motion reaches the barrier; an end of the motion where that is near enough. */
function endAt(stretch: Stretch, k: number, time: number, task: EndTask, isExit = false): number | string {
  const way = stretch.wayOf(k)
  if (!isExit && time * way < sameEnd) return k
  if (isExit && (1 - time) * way < sameEnd) return k + 1
  const fixed = stretch.stations[k + 1].fixed
  if (!isExit && fixed !== undefined) return fixed
  for (let draws = 0; draws <= mostDraws; draws++) {
    const t = time + (isExit ? 1 : -1) * draws * drawBack / way
    if (t <= 0 || t >= 1) break
    if (draws === 0 && !stretch.part(k, t, !isExit)) return 'the block in which the path comes out cannot be parted'
    if (draws > 0) moveAlong(stretch, k, t)
    const why = task.round(stretch, k + 1)
    if (why !== undefined) return why
    if (stretch.faultsStanding(k + 1).every(fault => !task.isCrossing(fault))) {
      stretch.jointsOf(stretch.base, k + 1).set(stretch.jointsOf(stretch.path, k + 1))
      return k + 1
    }
  }
  return 'no place at the barrier can be said with the decimals of the program'
}

/** Puts a parting station elsewhere on the motion it parts, t counted on the whole of it. */
function moveAlong(stretch: Stretch, k: number, t: number): void {
  const joints = stretch.jointsOf(stretch.path, k + 1), a = stretch.jointsOf(stretch.path, k).slice(), b = stretch.jointsOf(stretch.path, k + 2)
  const { point: p } = stretch.poseAt(stretch.path, k), start = Float64Array.from(p)
  const { point: q } = stretch.poseAt(stretch.path, k + 2), end = Float64Array.from(q)
  for (let j = 0; j < joints.length; j++) joints[j] = a[j] + (b[j] - a[j]) * t
  stretch.placePoint(k + 1, start[0] + (end[0] - start[0]) * t, start[1] + (end[1] - start[1]) * t, start[2] + (end[2] - start[2]) * t)
}

function crosses(stretch: Stretch, k: number, t: number, { isCrossing }: EndTask): boolean {
  const joints = new Float64Array(stretch.width)
  stretch.pose.begin(k)
  stretch.pose.jointsAt(t, joints)
  return stretch.faultsOf(k, joints).some(isCrossing)
}

/** The last time on the way from `clear` to `over` at which nothing is crossed. */
function boundary(isOver: (t: number) => boolean, clear: number, over: number): number {
  for (let n = 0; n < halvings; n++) {
    const middle = (clear + over) / 2
    if (isOver(middle)) over = middle
    else clear = middle
  }
  return clear
}
