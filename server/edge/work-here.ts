import { faultOf } from './reason-of.ts'
import type { Answerer } from './start-thread.ts'

/** How long the work is gone on with before others get their turn, ms. */
const slice = 10

/**
 * Answers questions one after the other in this very thread, slice by slice, so that what else has to be done here is done
 * in between. `failed` hears what an answer has thrown.
 */
export function workHere<Question>(answer: (question: Question) => Generator<void, void>, failed: (question: Question, message: string) => void): Answerer<Question> {
  const questions: Question[] = []
  let running: Generator<void, void> | undefined, ended = false
  const goOn = () => {
    const until = performance.now() + slice
    while (!ended && performance.now() < until) {
      const question = questions[0]
      if (question === undefined) return
      try {
        running ??= answer(question)
        if (running.next().done !== true) continue
      } catch (error) {
        failed(question, faultOf(error))
      }
      running = undefined
      questions.shift()
    }
    if (!ended) setImmediate(goOn)
  }
  return {
    ask: question => {
      questions.push(question)
      if (questions.length === 1) setImmediate(goOn)
    },
    end: () => {
      ended = true
      return Promise.resolve()
    },
  }
}
