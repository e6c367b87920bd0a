import { parentPort } from 'node:worker_threads'
import type { ToWorker } from './contact-protocol.ts'
import { ContactThread } from './contact-thread.ts'

// One thread of the contact pool: it works off each question at a stretch.

if (parentPort === null) throw new Error('the contact worker runs as a worker thread only')
const port = parentPort
const thread = new ContactThread((message, transfer = []) => port.postMessage(message, transfer))

port.on('message', (message: ToWorker) => {
  try {
    const steps = thread.answer(message)
    while (steps.next().done !== true);
  } catch (error) {
    port.postMessage({ say: 'failed', id: message.id, message: error instanceof Error ? error.stack ?? error.message : String(error) })
  }
})
