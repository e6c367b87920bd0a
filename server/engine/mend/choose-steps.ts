import { components, type Component } from '../../../shared/finding.ts'
import type { Correction, MendStep } from '../../../shared/setup.ts'
import { partOfSpan, type FaultySpan } from './faulty-spans.ts'
import { trySteps, type Attempt, type MendWork } from './try-steps.ts'
import { sayStep } from './mend-words.ts'

/** What was chosen for a span, and what was tried before it and why that was not enough. */
export interface Choice {
  readonly span: FaultySpan
  readonly attempt: Attempt | undefined
  readonly rejected: readonly string[]
}

const nowhere = { start: 0, end: 0 }

/** Fewest corrections first, then the one that changes least: a lean leaves the cut where it is, a lift is the shortest way off. */
function automaticPlans(span: FaultySpan): readonly (readonly Correction[])[] {
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
    if (answer.remaining.length === 0) return { span, attempt: answer, rejected }
    rejected.push(`${name}: ${answer.remaining.length} of ${span.faults.length} faults stay`)
    if (isBetter(answer, best, span)) best = answer
  }
  return { span, attempt: best, rejected }
}

/** Alone a correction is made for whatever is at fault; behind a lean it is made for the cutter. */
function ownComponents(by: Correction, plan: readonly Correction[]): { components?: readonly Component[] } {
  return by === 'lean' ? {} : { components: plan.includes('lean') ? ['cutter'] : components }
}

function isBetter(attempt: Attempt, best: Attempt | undefined, span: FaultySpan): boolean {
  return attempt.wanted.size > 0 && attempt.remaining.length < Math.min(span.faults.length, best?.remaining.length ?? Infinity)
}

/** Faults of a span that lie apart by more than this many motions are tried one by one where the whole cannot be corrected. */
const ownPlace = 8

/** The choices for a span: one for the whole where that can be corrected, else one for each place. */
export function chooseForSpan(span: FaultySpan, planOf: (motion: number) => readonly MendStep[] | undefined, work: MendWork): Choice[] {
  const whole = chooseSteps(span, planOf(span.first), work)
  const places = placesOf(span)
  if (whole.attempt?.remaining.length === 0 || places.length === 1) return [whole]
  return places.map(place => chooseSteps(place, planOf(place.first), work))
}

function placesOf(span: FaultySpan): FaultySpan[] {
  const motions = [...new Set(span.faults.map(fault => fault.motion))].sort((a, b) => a - b)
  const starts = motions.filter((motion, i) => i === 0 || motion - (motions[i - 1] ?? 0) > ownPlace)
  return starts.flatMap((start, i) => partOfSpan(span, fault => fault.motion >= start && fault.motion < (starts[i + 1] ?? Infinity)) ?? [])
}
