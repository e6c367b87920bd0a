import type { Cancellation } from '../../shared/cancellation.ts'

/** How long the work is gone on with before others get their turn, ms. */
const SLICE = 10

/** How often it is told how far the work is, ms. */
const PAUSE = 100

/** Does work in this thread between whose steps everything else that waits has its turn; undefined once nobody wants it any more. `onProgress`: hears what a step has yielded. */
export async function runStepwise<Answer, Share>(work: Generator<Share, Answer, undefined>, cancellation: Cancellation, onProgress?: (share: Share) => void): Promise<Answer | undefined> {
  let told = performance.now()
  for (;;) {
    const until = performance.now() + SLICE
    while (performance.now() < until) {
      const step = work.next()
      if (step.done === true) return step.value
      if (performance.now() - told < PAUSE) continue
      told = performance.now()
      onProgress?.(step.value)
    }
    await new Promise(resolve => setImmediate(resolve))
    if (cancellation.cancelled()) return undefined
  }
}
