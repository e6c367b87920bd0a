import { join } from 'node:path'
import type { Cancellation } from '../../shared/cancellation.ts'
import type { Finding } from '../../shared/finding.ts'
import type { Toolpath } from '../../shared/toolpath.ts'
import { sameBeginning, stockInputOf, type ReadProgram, type Scene, type StockFigures, type StockSource } from '../engine/service.ts'
import type { StorePlace } from './result-store.ts'
import { saidBy } from './said-by.ts'
import type { StartThread } from './start-thread.ts'
import { StockFollower } from './stock-follower.ts'
import type { FromStockWorker, ToStockWorker } from './stock-protocol.ts'
import { ThreadTeam } from './thread-team.ts'
import { whileWanted } from './while-wanted.ts'
import { workHere } from './work-here.ts'

interface OpenedInThread { readonly isUsable: boolean, readonly isBrokenOff: boolean, readonly findings: readonly Finding[] }

export interface StockThreadOptions {
  /** Where the stock that earlier set-ups leave is kept; absent: nowhere. */
  readonly store?: StorePlace
  /** Hears what is worth a line of its own. */
  readonly log?: (sentence: string) => void
  /** The bundled worker; absent: the one beside the bundle this is part of. */
  readonly script?: string
  /** Starts the thread; one that throws has none to give. */
  readonly start?: StartThread<ToStockWorker, FromStockWorker>
}

/**
 * The stock of one sheet in a thread of its own. Programs run through it one at a time; one that begins like
 * the last goes on from where they part.
 */
export class StockThread {
  readonly #source: StockSource
  readonly #script: string
  readonly #store: StorePlace | undefined
  readonly #team: ThreadTeam<ToStockWorker, FromStockWorker>
  #opening: Promise<OpenedInThread> | undefined
  /** The motions that the thread has run last. */
  #ran: Toolpath | undefined
  /** Ends when the question before has ended. */
  #turn: Promise<unknown> = Promise.resolve()

  constructor(source: StockSource, { store, log = () => {}, script = join(__dirname, 'stock-worker.cjs'), start }: StockThreadOptions = {}) {
    this.#source = source
    this.#script = script
    this.#store = store
    this.#team = new ThreadTeam<ToStockWorker, FromStockWorker>({
      script, start, log, saidIn: saidBy,
      here: hear => {
        const follower = new StockFollower(hear)
        return workHere(question => follower.answer(question), ({ id }, message) => hear({ say: 'failed', id, message }))
      },
      without: reason => `No thread could be started to follow the stock (${reason}); it is followed beside everything else and takes longer.`,
      lost: () => this.#forget(),
      ended: 'the stock is no longer followed',
    })
  }

  /** What is wrong with the stock itself; it is filled when first asked for. */
  async open(cancellation: Cancellation): Promise<Pick<OpenedInThread, 'isUsable' | 'findings'>> {
    for (;;) {
      this.#opening ??= this.#fill(cancellation)
      const opened = this.#opening
      try {
        const answer = await opened
        if (!answer.isBrokenOff) return answer
        // Whoever asked first has gone away: who still waits has it filled anew.
        if (this.#opening === opened) this.#opening = undefined
        if (cancellation.cancelled()) return answer
      } catch (error) {
        if (this.#opening === opened) this.#opening = undefined
        throw error
      }
    }
  }

  async #fill(cancellation: Cancellation): Promise<OpenedInThread> {
    const keeping = this.#store === undefined ? undefined : { place: this.#store, script: this.#script }
    const answer = await whileWanted({ cancellation }, control => this.#ask(id => ({ ask: 'open', id, source: this.#source, control, keeping })))
    if (answer.say !== 'opened') throw new Error(`the stock's thread has answered "${answer.say}" when it was to be filled`)
    return answer
  }

  /** Runs a program through the stock. Undefined where the stock or the sheet cannot be used, or nobody waits any more. */
  run(program: ReadProgram, scene: Scene, cancellation: Cancellation, onProgress: (done: number) => void = () => {}): Promise<StockFigures | undefined> {
    return this.#inTurn(async () => {
      const input = stockInputOf(program, scene)
      if (cancellation.cancelled() || input === undefined || !(await this.open(cancellation)).isUsable || cancellation.cancelled()) return undefined
      const same = this.#ran === undefined ? 0 : sameBeginning(this.#ran, input.toolpath)
      this.#ran = undefined
      const answer = await whileWanted({ cancellation }, control => this.#ask(id => ({ ask: 'run', id, input, same, control }), onProgress))
      this.#ran = input.toolpath
      return answer.say === 'figures' && answer.figures.done === answer.figures.count ? answer.figures : undefined
    })
  }

  /** Triangles of the stock as it stands before a motion of the program; undefined where that is not the one that ran last. */
  surface(program: ReadProgram, motion: number, mostPoints: number): Promise<Float32Array | undefined> {
    return this.#inTurn(async () => {
      if (this.#ran !== program.toolpath) return undefined
      const answer = await this.#ask(id => ({ ask: 'surface', id, motion, mostPoints }))
      return answer.say === 'surface' ? answer.triangles : undefined
    })
  }

  async dispose(): Promise<void> {
    this.#forget()
    await this.#team.dismiss()
  }

  #inTurn<T>(work: () => Promise<T>): Promise<T> {
    const answer = this.#turn.then(work)
    // Whoever comes next does not care how this one ended.
    this.#turn = answer.catch(() => undefined)
    return answer
  }

  #ask(question: (id: number) => ToStockWorker, onProgress: (done: number) => void = () => {}): Promise<FromStockWorker> {
    return this.#team.ask(0, question, news => {
      if (news.say === 'progress') onProgress(news.done)
    })
  }

  /** What the thread remembered is gone. */
  #forget(): void {
    this.#opening = undefined
    this.#ran = undefined
  }
}
