import { Worker } from 'node:worker_threads'
import { reasonOf } from './reason-of.ts'
import type { WorkHere } from './work-here.ts'

/** A question that waits for its answer. */
interface Waiting<Answer> {
  readonly thread: number
  readonly answer: (message: Answer) => void
  readonly fail: (error: Error) => void
}

/** Whatever a thread says: the number of the question it answers, and a failure in a sentence. */
export interface ThreadAnswer { readonly id: number, readonly failure?: string }

export interface CrewOptions<Question, Answer> {
  /** The bundled worker. */
  readonly script: string
  /** Whoever answers in this thread where the system has none to give. */
  readonly here: (hear: (message: Answer) => void) => WorkHere<Question>
  /** Hears what is worth a line in a log. */
  readonly log: (sentence: string) => void
  /** Starts a thread; one that throws has none to give. */
  readonly start?: (script: string) => Worker
}

/**
 * Threads that run one script and answer one message for each they are sent. They start when first asked. One
 * that dies fails the questions it was asked, and the next question starts another in its place. Where the system has no
 * thread to give, or no memory to share with it, this one does the work in slices.
 */
export class ThreadCrew<Question extends { readonly id: number }, Answer extends ThreadAnswer> {
  readonly #options: CrewOptions<Question, Answer>
  readonly #threads: (WorkHere<Question> | undefined)[]
  readonly #waiting = new Map<number, Waiting<Answer>>()
  #ids = 0

  constructor(threads: number, options: CrewOptions<Question, Answer>) {
    this.#options = options
    this.#threads = Array.from({ length: Math.max(1, threads) }, () => undefined)
  }

  get size(): number {
    return this.#threads.length
  }

  ask(thread: number, question: (id: number) => Question): Promise<Answer> {
    return new Promise((resolve, reject) => {
      const id = ++this.#ids
      this.#waiting.set(id, {
        thread,
        answer: message => {
          this.#waiting.delete(id)
          if (message.failure === undefined) resolve(message)
          else reject(new Error(message.failure))
        },
        fail: reject,
      })
      this.#thread(thread).ask(question(id))
    })
  }

  async dispose(): Promise<void> {
    const threads = this.#threads.splice(0)
    for (const [id, waiting] of this.#waiting) {
      this.#waiting.delete(id)
      waiting.fail(new Error('the work was ended'))
    }
    await Promise.all(threads.map(thread => thread?.end()))
  }

  #thread(at: number): WorkHere<Question> {
    const known = this.#threads[at]
    if (known !== undefined) return known
    const { script, here, log, start = newWorker } = this.#options
    const hear = (message: Answer) => this.#waiting.get(message.id)?.answer(message)
    let thread: WorkHere<Question>
    try {
      thread = this.#started(at, start(script), hear)
    } catch (error) {
      log(`No thread could be started to measure what is left (${reasonOf(error)}); it is measured beside everything else and takes longer.`)
      thread = here(hear)
    }
    this.#threads[at] = thread
    return thread
  }

  #started(at: number, worker: Worker, hear: (message: Answer) => void): WorkHere<Question> {
    const thread: WorkHere<Question> = { ask: question => worker.postMessage(question), end: () => worker.terminate() }
    worker.on('message', hear)
    const lost = (error: Error) => {
      if (this.#threads[at] === thread) this.#threads[at] = undefined
      for (const [id, waiting] of this.#waiting) {
        if (waiting.thread !== at) continue
        this.#waiting.delete(id)
        waiting.fail(error)
      }
    }
    worker.on('error', lost)
    worker.on('exit', code => lost(new Error(`a thread ended with code ${code}`)))
    return thread
  }
}

function newWorker(script: string): Worker {
  if (typeof SharedArrayBuffer === 'undefined') throw new Error('there is no memory to share with a thread')
  return new Worker(script)
}
