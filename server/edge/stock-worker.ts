import { readFileSync } from 'node:fs'
import { parentPort } from 'node:worker_threads'
import { openStock, stockSurface, type StockInput, type StockSimulation } from '../engine/service.ts'
import { cancellationOf } from './control-words.ts'
import { engineIdentity } from './kept-meshes.ts'
import { KeptStocks } from './kept-stocks.ts'
import { faultOf } from './reason-of.ts'
import { ResultStore } from './result-store.ts'
import type { FromStockWorker, ToStockWorker } from './stock-protocol.ts'

// The thread that follows the stock. Unlike the contact threads it remembers: the stock as it stood at
// places of the last program, from which an edited one goes on.

if (parentPort === null) throw new Error('the stock worker runs as a worker thread only')
const port = parentPort

let simulation: StockSimulation | undefined
let last: StockInput | undefined

const say = (message: FromStockWorker, transfer: ArrayBuffer[] = []) => port.postMessage(message, transfer)

port.on('message', (message: ToStockWorker) => {
  try {
    answer(message)
  } catch (error) {
    say({ say: 'failed', id: message.id, message: faultOf(error) })
  }
})

function answer(message: ToStockWorker): void {
  const { id } = message
  if (message.ask === 'surface') {
    const triangles = simulation === undefined || last === undefined ? undefined : stockSurface(simulation.standAt(last, message.motion), message.mostPoints)
    say({ say: 'surface', id, triangles }, triangles?.buffer instanceof ArrayBuffer ? [triangles.buffer] : [])
    return
  }
  const cancellation = cancellationOf(message.control)
  if (message.ask === 'open') {
    const opened = openStock(message.source, cancellation, keeperOf(message))
    simulation = opened.simulation
    last = undefined
    say({ say: 'opened', id, isUsable: simulation !== undefined, isBrokenOff: !opened.complete, findings: opened.findings })
    return
  }
  if (simulation === undefined) throw new Error('no stock has been opened')
  const figures = simulation.run(message.input, last === undefined ? 0 : message.same, cancellation, done => say({ say: 'progress', id, done }))
  last = message.input
  say({ say: 'figures', id, figures })
}

function keeperOf({ id, keeping }: ToStockWorker & { readonly ask: 'open' }): KeptStocks | undefined {
  if (keeping === undefined) return undefined
  const store = new ResultStore(keeping.place, sentence => say({ say: 'log', id, message: sentence }))
  return new KeptStocks(store, engineIdentity(readFileSync(keeping.script)))
}
