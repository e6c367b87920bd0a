import { components, type Component } from '../../../shared/finding.ts'
import type { Correction, MendStep } from '../../../shared/setup.ts'
import { ownPlace, partOfSpan, type FaultySpan } from './faulty-spans.ts'
import { trySteps, type Attempt, type MendWork } from './try-steps.ts'
import { millimetres, sayStep } from './mend-words.ts'

/** What was chosen for a span, and what was tried before it and why that was not enough. */
export interface Choice {
  readonly span: FaultySpan
  readonly attempt: Attempt | undefined
  readonly rejected: readonly string[]
}

const nowhere = { start: 0, end: 0 }

/** Fewest corrections first, then the one that changes least: a lean leaves the cut where it is, a lift is the shortest way off. */
function automaticPlans(span: FaultySpan): readonly (readonly Correction[])[] {
  if (span.misses !== true) return plansForContact(span)
  return span.faults.length === 0 ? [['aim']] : [['aim'], ...plansForContact(span).map((plan): Correction[] => ['aim', ...plan])]
}

function plansForContact(span: FaultySpan): readonly (readonly Correction[])[] {
  if (span.faults.some(({ against }) => against?.kind === 'barrier')) return [['end-at'], ['lift'], ['back-off'], ['end-at', 'lift'], ['end-at', 'lean']]
  const cutter = span.faults.some(({ component }) => component === 'cutter')
  const body = span.faults.some(({ component }) => component !== 'cutter')
  if (cutter && body) return [['lift'], ['back-off'], ['lean'], ['lean', 'lift'], ['lean', 'back-off']]
  return body ? [['lean'], ['lift'], ['back-off'], ['lean', 'lift']] : [['lift'], ['back-off']]
}

/** Tries the sheet's plan, or lists of corrections until one leaves nothing behind. */
export function chooseSteps(span: FaultySpan, plan: readonly MendStep[] | undefined, work: MendWork): Choice {
  const plans = plan === undefined
    ? automaticPlans(span).map(names => names.map((by): MendStep => ({ by, ...ownComponents(by, names), span: nowhere })))
    : [plan]
  const rejected: string[] = []
  let best: Attempt | undefined
  for (const steps of plans) {
    if (work.cancellation.cancelled()) break
    const answer = trySteps(span, steps, work)
    const name = steps.map(sayStep).join(', then ')
    if ('why' in answer) {
      rejected.push(`${name}: ${steps.length > 1 ? `${answer.step.by}: ` : ''}${answer.why}`)
      continue
    }
    if (span.isPlanned !== true && answer.standing > leftoverOf(span, work)) {
      rejected.push(`${name}: ${millimetres(answer.standing)} or more would stay standing where the cutter cuts now`)
      continue
    }
    if (answer.remaining.length === 0) return { span, attempt: answer, rejected }
    // A plan is made as far as it goes: what still stands is told.
    if (span.isPlanned === true) return { span, attempt: answer.wanted.size > 0 ? answer : undefined, rejected: answer.stays }
    rejected.push(`${name}: ${answer.remaining.length} of ${span.faults.length} faults stay`)
    if (isBetter(answer, best, span)) best = answer
  }
  return { span, attempt: best, rejected }
}

/** Tallest material that may be left standing there, mm. */
function leftoverOf({ first }: FaultySpan, { search: { limits } }: MendWork): number {
  return limits.sets[limits.ofMotion[first] ?? 0]?.limits.leftover ?? 0
}

/** Alone a correction is made for whatever is at fault; behind a lean it is made for the cutter. */
function ownComponents(by: Correction, plan: readonly Correction[]): { components?: readonly Component[] } {
  return by === 'lean' || by === 'end-at' || by === 'aim' ? {} : { components: plan.includes('lean') ? ['cutter'] : components }
}

function isBetter(attempt: Attempt, best: Attempt | undefined, span: FaultySpan): boolean {
  // An axis that is aimed is mended whatever else stays.
  if (span.misses === true && best === undefined) return attempt.wanted.size > 0
  return attempt.wanted.size > 0 && attempt.remaining.length < Math.min(span.faults.length, best?.remaining.length ?? Infinity)
}

/** The choices for a span: one for the whole where that can be corrected and is not held back, else one for each place. */
export function chooseForSpan(span: FaultySpan, planOf: (motion: number) => readonly MendStep[] | undefined, work: MendWork, isHeldBack: (span: FaultySpan) => boolean): Choice[] {
  if (span.isPlanned === true) return [chooseSteps(span, planOf(span.first), work)]
  const places = placesOf(span), isOne = places.length <= 1 || span.misses === true
  const whole = !isOne && isHeldBack(span) ? undefined : chooseSteps(span, undefined, work)
  if (whole !== undefined && (isOne || work.cancellation.cancelled() || whole.attempt?.remaining.length === 0)) return [whole]
  return places.map(place => chooseSteps(place, undefined, work))
}

function placesOf(span: FaultySpan): FaultySpan[] {
  const motions = [...new Set(span.faults.map(fault => fault.motion))].sort((a, b) => a - b)
  const starts = motions.filter((motion, i) => i === 0 || motion - (motions[i - 1] ?? 0) > ownPlace)
  return starts.flatMap((start, i) => partOfSpan(span, fault => fault.motion >= start && fault.motion < (starts[i + 1] ?? Infinity)) ?? [])
}
