import { reasonOf } from './reason-of.ts'
import { startThread, type Answerer, type StartThread, type ThreadEvents } from './start-thread.ts'

/** Whatever a thread says belongs to a question, by its number. */
interface OfQuestion { readonly id: number }

/** What a thread says is: the answer, news on the way to it, a line for the log, or a fault in a sentence. */
export type Said = { readonly is: 'answer' | 'news' } | { readonly is: 'log' | 'fault', readonly words: string }

export interface TeamOptions<Question, Message extends OfQuestion> {
  /** The bundled worker. */
  readonly script: string
  readonly start?: StartThread<Question, Message>
  /** Whoever answers in this thread where the system has none to give; absent: nobody, and the question fails. */
  readonly here?: (hear: (message: Message) => void) => Answerer<Question>
  /** Hears what is worth a line in a log. */
  readonly log: (sentence: string) => void
  /** That there is no thread, for this reason, and what comes of it. */
  readonly without?: (reason: string) => string
  readonly saidIn: (message: Message) => Said
  /** A thread is gone, and what it remembered with it. */
  readonly lost?: () => void
  /** Why nothing is answered any more once the team has been dismissed. */
  readonly ended: string
}

/** A question that waits for its answer. */
interface Waiting<Question, Message> {
  readonly thread: Answerer<Question>
  readonly answer: (message: Message) => void
  readonly fail: (error: Error) => void
}

/** A fault that no other thread would be spared. */
export class AnsweredFault extends Error {}

/**
 * Threads by number that run one script, each started when first asked, and again after it has died. A question gets its
 * answer or the reason why there is none. Where the system has no thread to give, this one does the work in slices.
 */
export class ThreadTeam<Question extends OfQuestion, Message extends OfQuestion> {
  readonly #options: TeamOptions<Question, Message>
  readonly #threads: (Answerer<Question> | undefined)[] = []
  readonly #waiting = new Map<number, Waiting<Question, Message>>()
  #ids = 0
  #isDismissed = false

  constructor(options: TeamOptions<Question, Message>) {
    this.#options = options
  }

  /** Asks one thread; `hear` is told the news on the way. */
  ask(at: number, question: (id: number) => Question, hear: (news: Message) => void = () => {}): Promise<Message> {
    return new Promise((resolve, reject) => {
      const { saidIn, log, ended } = this.#options
      if (this.#isDismissed) throw new AnsweredFault(ended)
      const id = ++this.#ids, thread = this.#thread(at)
      const answer = (message: Message) => {
        const said = saidIn(message)
        if (said.is === 'log') return log(said.words)
        if (said.is === 'news') return hear(message)
        this.#waiting.delete(id)
        if (said.is === 'fault') reject(new AnsweredFault(said.words))
        else resolve(message)
      }
      this.#waiting.set(id, { thread, answer, fail: reject })
      thread.ask(question(id))
    })
  }

  /** Ends all threads; what they were asked fails. */
  async dismiss(): Promise<void> {
    this.#isDismissed = true
    const threads = this.#threads.splice(0)
    this.#fail(() => true, new AnsweredFault(this.#options.ended))
    await Promise.all(threads.map(thread => thread?.end()))
  }

  #thread(at: number): Answerer<Question> {
    const known = this.#threads[at]
    if (known !== undefined) return known
    const { script, start = startThread, here, log, without, lost } = this.#options
    let thread: Answerer<Question> | undefined
    const events: ThreadEvents<Message> = {
      hear: message => this.#waiting.get(message.id)?.answer(message),
      lost: error => {
        if (thread !== undefined && this.#threads[at] === thread) {
          this.#threads[at] = undefined
          lost?.()
        }
        // A thread that stands in its place by now has nothing to do with that.
        this.#fail(waiting => waiting.thread === thread, error)
      },
    }
    try {
      thread = start(script, events)
    } catch (error) {
      if (here === undefined) throw error
      if (without !== undefined) log(without(reasonOf(error)))
      thread = here(events.hear)
    }
    this.#threads[at] = thread
    return thread
  }

  #fail(isMeant: (waiting: Waiting<Question, Message>) => boolean, error: Error): void {
    for (const [id, waiting] of this.#waiting) {
      if (!isMeant(waiting)) continue
      this.#waiting.delete(id)
      waiting.fail(error)
    }
  }
}
