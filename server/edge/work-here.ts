import { faultOf } from './reason-of.ts'
import { runStepwise } from './run-stepwise.ts'
import type { Answerer } from './start-thread.ts'

/**
 * Answers questions one after the other in this very thread, slice by slice, so that what else has to be done here is done
 * in between. `failed` hears what an answer has thrown.
 */
export function workHere<Question>(answer: (question: Question) => Generator<void, void, undefined>, failed: (question: Question, message: string) => void): Answerer<Question> {
  let turn: Promise<unknown> = Promise.resolve(), hasEnded = false
  return {
    ask: question => {
      turn = turn.then(() => hasEnded ? undefined : runStepwise(answer(question), { cancelled: () => hasEnded })).catch((error: unknown) => {
        failed(question, faultOf(error))
      })
    },
    end: () => {
      hasEnded = true
      return Promise.resolve()
    },
  }
}
