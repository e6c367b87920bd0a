import { parentPort } from 'node:worker_threads'
import { answerResult } from './result-thread.ts'
import type { ResultQuestion } from './result-protocol.ts'

// One thread of the result pool.

if (parentPort === null) throw new Error('the result worker runs as a worker thread only')
const port = parentPort

port.on('message', (question: ResultQuestion) => {
  try {
    const steps = answerResult(question, answer => port.postMessage(answer))
    while (steps.next().done !== true);
  } catch (error) {
    port.postMessage({ id: question.id, failure: error instanceof Error ? error.stack ?? error.message : String(error) })
  }
})
