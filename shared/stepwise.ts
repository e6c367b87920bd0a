/**
 * Work done in steps of a few milliseconds: it yields the share done so far, 0..1, and comes to its answer at the end.
 * Whoever drives it lets others have their turn between two steps, or leaves it there.
 */
export type Stepwise<Answer> = Generator<number, Answer, undefined>

/** Does the work at a stretch. */
export function atOnce<Answer>(work: Stepwise<Answer>): Answer {
  for (;;) {
    const step = work.next()
    if (step.done === true) return step.value
  }
}

/** Lines of a program that are looked at in one step. */
const LINES_PER_STEP = 1000

/** Takes items in their order and yields the share of them that has been taken, laid between two shares of the whole. */
export function* stepwise<Item>(items: Iterable<Item>, count: number, [from, to]: readonly [number, number], take: (item: Item) => void): Stepwise<void> {
  let done = 0
  for (const item of items) {
    take(item)
    if (++done % LINES_PER_STEP === 0) yield from + (to - from) * done / Math.max(1, count)
  }
}
