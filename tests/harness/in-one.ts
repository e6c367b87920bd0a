import type { Stepwise } from '../../shared/stepwise.ts'

/** Does stepwise work at once. */
export function inOne<Answer>(work: Stepwise<Answer>): Answer {
  for (;;) {
    const step = work.next()
    if (step.done === true) return step.value
  }
}
