import { Worker } from 'node:worker_threads'
import type { FromWorker, ToWorker } from './contact-protocol.ts'
import { ContactThread } from './contact-thread.ts'

/** Whoever answers the questions of the pool. */
export interface SearchThread {
  readonly ask: (message: ToWorker) => void
  readonly end: () => Promise<unknown>
}

export interface ThreadEvents {
  readonly hear: (message: FromWorker) => void
  /** The thread is no more; what it was asked is not answered. */
  readonly lost: (error: Error) => void
}

/** Starts a thread that runs the bundled script. Throws where the system has none to give. */
export function startThread(script: string, { hear, lost }: ThreadEvents): SearchThread {
  if (typeof SharedArrayBuffer === 'undefined') throw new Error('there is no memory to share with a thread')
  const worker = new Worker(script)
  worker.on('message', hear)
  worker.on('error', lost)
  worker.on('exit', code => lost(new Error(`a search thread ended with code ${code}`)))
  return { ask: message => worker.postMessage(message), end: () => worker.terminate() }
}

/** How long the work is gone on with before others get their turn, ms. */
const slice = 10

/** Works in this very thread, slice by slice, so that what else has to be done here is done in between. */
export function searchHere({ hear }: ThreadEvents): SearchThread {
  const thread = new ContactThread(hear), questions: ToWorker[] = []
  let running: Generator<void, void> | undefined, ended = false, inHand = 0
  const goOn = () => {
    const until = performance.now() + slice
    try {
      while (!ended && performance.now() < until) {
        if (running === undefined) {
          const next = questions.shift()
          if (next === undefined) return
          inHand = next.id
          running = thread.answer(next)
        }
        if (running.next().done === true) running = undefined
      }
    } catch (error) {
      running = undefined
      hear({ say: 'failed', id: inHand, message: error instanceof Error ? error.stack ?? error.message : String(error) })
    }
    if (!ended) setImmediate(goOn)
  }
  return {
    ask: message => {
      questions.push(message)
      if (running === undefined && questions.length === 1) setImmediate(goOn)
    },
    end: () => {
      ended = true
      return Promise.resolve()
    },
  }
}
