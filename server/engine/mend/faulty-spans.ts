import type { MotionFault } from '../contact/motion-faults.ts'

/** Motions at fault that lie near each other and are corrected together. */
export interface FaultySpan {
  /** First and last motion at fault. */
  readonly first: number
  readonly last: number
  readonly faults: readonly MotionFault[]
  /** An axis cannot follow its feed. */
  readonly isFast?: boolean
  /** The axis of some of its motions misses the point it must pass. */
  readonly misses?: boolean
  /** The sheet has a plan for these motions: its own allowances say what is at fault. */
  readonly isPlanned?: boolean
}

/** Motions without a fault between two of one place, at most. */
export const ownPlace = 8

/** Motions before and behind those at fault that a correction may reach into: a turn is spread over them. */
export const reachBeside = 24

/** Motions without a fault between two that are still corrected together: both their reaches, and one that stays. */
const apart = 2 * reachBeside + 2

/** Gathers faults, and motions whose axis misses its point, into spans that cannot disturb each other. */
export function faultySpans(faults: readonly MotionFault[], misses: readonly number[] = []): FaultySpan[] {
  const all = [...faults.map(fault => ({ motion: fault.motion, fault })), ...misses.map(motion => ({ motion, fault: undefined }))]
  const spans: { first: number, last: number, faults: MotionFault[], misses?: boolean }[] = []
  for (const { motion, fault } of all.sort((a, b) => a.motion - b.motion)) {
    let open = spans.at(-1)
    if (open === undefined || motion - open.last > apart) {
      open = { first: motion, last: motion, faults: [] }
      spans.push(open)
    }
    open.last = motion
    if (fault === undefined) open.misses = true
    else open.faults.push(fault)
  }
  return spans
}

/** The part of a span whose faults pass, as a span. */
export function partOfSpan(span: FaultySpan, wanted: (fault: MotionFault) => boolean): FaultySpan | undefined {
  return faultySpans(span.faults.filter(wanted)).reduce<FaultySpan | undefined>((whole, each) => whole === undefined ? each
    : { first: whole.first, last: each.last, faults: [...whole.faults, ...each.faults] }, undefined)
}
