import type { ContactFigures } from '../engine/service.ts'
import type { FromWorker, ToWorker } from './contact-protocol.ts'
import { reasonOf } from './reason-of.ts'
import { searchHere, startThread, type SearchThread, type ThreadEvents } from './search-thread.ts'

/** Starts a thread that runs the script; one that throws has none to give. */
export type StartThread = (script: string, events: ThreadEvents) => SearchThread

/** What is heard while a question is worked on. */
export interface Hearing {
  readonly onRun?: (figures: ContactFigures) => void
  readonly onProgress?: (done: number, total: number) => void
}

/** A question that waits for its answer. */
interface Waiting {
  readonly thread: SearchThread
  readonly answer: (message: FromWorker) => void
  readonly fail: (error: Error) => void
}

/** A fault that no other thread would be spared. */
export class AnsweredFault extends Error {}

/**
 * Threads by number, each started when first asked, and again after it has died. A question gets its answer or the reason why there is
 * none. Where the system has no thread to give, this one does the work in slices.
 */
export class ThreadTeam {
  readonly #script: string
  readonly #start: StartThread
  readonly #log: (sentence: string) => void
  readonly #threads: (SearchThread | undefined)[] = []
  readonly #waiting = new Map<number, Waiting>()
  #ids = 0

  constructor(script: string, log: (sentence: string) => void, start: StartThread = startThread) {
    this.#script = script
    this.#log = log
    this.#start = start
  }

  /** Asks one thread. */
  ask(worker: number, question: (id: number) => ToWorker, { onRun, onProgress }: Hearing = {}): Promise<FromWorker> {
    return new Promise((resolve, reject) => {
      const id = ++this.#ids, thread = this.#thread(worker)
      this.#waiting.set(id, {
        thread,
        answer: message => {
          if (message.say === 'run') onRun?.(message.figures)
          else if (message.say === 'progress') onProgress?.(message.done, message.total)
          else if (message.say === 'log') this.#log(message.message)
          else {
            this.#waiting.delete(id)
            if (message.say === 'failed') reject(new AnsweredFault(message.message))
            else resolve(message)
          }
        },
        fail: reject,
      })
      thread.ask(question(id))
    })
  }

  /** Asks one thread; should it die of the question, another one too. */
  async askTwice(question: (id: number) => ToWorker): Promise<FromWorker> {
    try {
      return await this.ask(0, question)
    } catch (error) {
      if (error instanceof AnsweredFault) throw error
      this.#log(`A search thread has died (${reasonOf(error)}); what it had in hand is done again.`)
      return await this.ask(0, question)
    }
  }

  /** Ends all threads; what they were asked fails. */
  async dispose(): Promise<void> {
    const threads = this.#threads.splice(0)
    for (const [id, waiting] of this.#waiting) {
      this.#waiting.delete(id)
      waiting.fail(new AnsweredFault('the search was ended'))
    }
    await Promise.all(threads.map(thread => thread?.end()))
  }

  #thread(at: number): SearchThread {
    const known = this.#threads[at]
    if (known !== undefined) return known
    let thread: SearchThread | undefined
    const events: ThreadEvents = {
      hear: message => this.#waiting.get(message.id)?.answer(message),
      lost: error => {
        if (this.#threads[at] === thread) this.#threads[at] = undefined
        for (const [id, waiting] of this.#waiting) {
          if (waiting.thread !== thread) continue
          this.#waiting.delete(id)
          waiting.fail(error)
        }
      },
    }
    try {
      thread = this.#start(this.#script, events)
    } catch (error) {
      this.#log(`No search thread could be started (${reasonOf(error)}); the search runs beside everything else and takes longer.`)
      thread = searchHere(events)
    }
    this.#threads[at] = thread
    return thread
  }
}
