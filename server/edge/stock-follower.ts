import { readFileSync } from 'node:fs'
import { openStock, stockSurface, type StockInput, type StockSimulation } from '../engine/service.ts'
import { cancellationOf } from './control-words.ts'
import { engineIdentity } from './kept-meshes.ts'
import { KeptStocks } from './kept-stocks.ts'
import { ResultStore } from './result-store.ts'
import type { FromStockWorker, ToStockWorker } from './stock-protocol.ts'

/** Motions that are followed between two places at which the work can be put down: a millisecond or so. */
const motionsAtOnce = 8

type Question<Ask extends ToStockWorker['ask']> = Extract<ToStockWorker, { readonly ask: Ask }>

/**
 * The work of the thread that follows the stock. Unlike those that search it remembers: the stock as it stood at places of the
 * last program, from which an edited one goes on. A program is followed in steps, so that where there is no thread it can be
 * followed between other things; filling the stock is one step.
 */
export class StockFollower {
  readonly #say: (message: FromStockWorker, transfer?: ArrayBuffer[]) => void
  #simulation: StockSimulation | undefined
  #last: StockInput | undefined

  constructor(say: (message: FromStockWorker, transfer?: ArrayBuffer[]) => void) {
    this.#say = say
  }

  /** Answers a question step by step. What it throws is a fault of ours. */
  * answer(message: ToStockWorker): Generator<void, void, undefined> {
    switch (message.ask) {
      case 'open': return this.#open(message)
      case 'run': return yield* this.#run(message)
      case 'surface': return this.#surface(message)
      default: message satisfies never
    }
  }

  #open(message: Question<'open'>): void {
    const { simulation, complete, findings } = openStock(message.source, cancellationOf(message.control), this.#keeperOf(message))
    this.#simulation = simulation
    this.#last = undefined
    this.#say({ say: 'opened', id: message.id, isUsable: simulation !== undefined, isBrokenOff: !complete, findings })
  }

  * #run({ id, input, same, control }: Question<'run'>): Generator<void, void, undefined> {
    if (this.#simulation === undefined) throw new Error('no stock has been opened')
    const run = this.#simulation.runStepwise(input, this.#last === undefined ? 0 : same, cancellationOf(control), done => this.#say({ say: 'progress', id, done }))
    let step = run.next()
    for (let steps = 1; step.done !== true; steps++, step = run.next()) if (steps % motionsAtOnce === 0) yield
    this.#last = input
    this.#say({ say: 'figures', id, figures: step.value })
  }

  #surface({ id, motion, mostPoints }: Question<'surface'>): void {
    const simulation = this.#simulation, last = this.#last
    const triangles = simulation === undefined || last === undefined ? undefined : stockSurface(simulation.standAt(last, motion), mostPoints)
    this.#say({ say: 'surface', id, triangles }, triangles?.buffer instanceof ArrayBuffer ? [triangles.buffer] : [])
  }

  #keeperOf({ id, keeping }: Question<'open'>): KeptStocks | undefined {
    if (keeping === undefined) return undefined
    const store = new ResultStore(keeping.place, sentence => this.#say({ say: 'log', id, message: sentence }))
    return new KeptStocks(store, engineIdentity(readFileSync(keeping.script)))
  }
}
