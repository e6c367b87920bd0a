import type { MotionFault } from '../contact/motion-faults.ts'

/** Motions at fault that lie near each other and are corrected together. */
export interface FaultySpan {
  /** First and last motion at fault. */
  readonly first: number
  readonly last: number
  readonly faults: readonly MotionFault[]
}

/** Motions before and behind those at fault that a correction may reach into: a turn is spread over them. */
export const reachBeside = 24

/** Motions without a fault between two that are still corrected together: both their reaches, and one that stays. */
const apart = 2 * reachBeside + 2

/** Gathers faults into spans that cannot disturb each other. */
export function faultySpans(faults: readonly MotionFault[]): FaultySpan[] {
  const sorted = [...faults].sort((a, b) => a.motion - b.motion)
  const spans: { first: number, last: number, faults: MotionFault[] }[] = []
  for (const fault of sorted) {
    const open = spans.at(-1)
    if (open !== undefined && fault.motion - open.last <= apart) {
      open.last = fault.motion
      open.faults.push(fault)
    } else spans.push({ first: fault.motion, last: fault.motion, faults: [fault] })
  }
  return spans
}

/** The part of a span whose faults pass, as a span. */
export function partOfSpan(span: FaultySpan, wanted: (fault: MotionFault) => boolean): FaultySpan | undefined {
  return faultySpans(span.faults.filter(wanted)).reduce<FaultySpan | undefined>((whole, each) => whole === undefined ? each
    : { first: whole.first, last: each.last, faults: [...whole.faults, ...each.faults] }, undefined)
}
