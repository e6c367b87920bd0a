import { Worker } from 'node:worker_threads'

/** A question that waits for its answer. */
interface Waiting<Answer> {
  readonly thread: number
  readonly answer: (message: Answer) => void
  readonly fail: (error: Error) => void
}

/** Whatever a thread says: the number of the question it answers, and a failure in a sentence. */
export interface ThreadAnswer { readonly id: number, readonly failure?: string }

/**
 * Threads that run one script and answer one message for each they are sent. They start when first asked. One
 * that dies fails the questions it was asked, and the next question starts another in its place.
 */
export class ThreadCrew<Question extends { readonly id: number }, Answer extends ThreadAnswer> {
  readonly #script: string
  readonly #threads: (Worker | undefined)[]
  readonly #waiting = new Map<number, Waiting<Answer>>()
  #ids = 0

  constructor(threads: number, script: string) {
    this.#script = script
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
      this.#thread(thread).postMessage(question(id))
    })
  }

  async dispose(): Promise<void> {
    const threads = this.#threads.splice(0)
    for (const [id, waiting] of this.#waiting) {
      this.#waiting.delete(id)
      waiting.fail(new Error('the work was ended'))
    }
    await Promise.all(threads.map(thread => thread?.terminate()))
  }

  #thread(at: number): Worker {
    const known = this.#threads[at]
    if (known !== undefined) return known
    const worker = new Worker(this.#script)
    this.#threads[at] = worker
    worker.on('message', (message: Answer) => this.#waiting.get(message.id)?.answer(message))
    const lost = (error: Error) => {
      if (this.#threads[at] === worker) this.#threads[at] = undefined
      for (const [id, waiting] of this.#waiting) {
        if (waiting.thread !== at) continue
        this.#waiting.delete(id)
        waiting.fail(error)
      }
    }
    worker.on('error', lost)
    worker.on('exit', code => lost(new Error(`a thread ended with code ${code}`)))
    return worker
  }
}
