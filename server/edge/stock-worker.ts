import { StockFollower } from './stock-follower.ts'
import type { ToStockWorker } from './stock-protocol.ts'
import { workAsThread } from './work-as-thread.ts'

// The thread that follows the stock.

workAsThread<ToStockWorker>(port => {
  const follower = new StockFollower((message, transfer = []) => port.postMessage(message, transfer))
  return { answer: question => follower.answer(question), failed: ({ id }, message) => port.postMessage({ say: 'failed', id, message }) }
})
