import { Worker } from 'node:worker_threads'
import type { FromWorker, ToWorker } from './contact-protocol.ts'
import { ContactThread } from './contact-thread.ts'
import { workHere } from './work-here.ts'

/** Whoever answers the questions of the pool. */
export interface SearchThread {
  readonly ask: (message: ToWorker) => void
  readonly end: () => Promise<unknown>
}

export interface ThreadEvents {
  readonly hear: (message: FromWorker) => void
  /** The thread is no more; what it was asked is not answered. */
  readonly lost: (error: Error) => void
}

/** Starts a thread that runs the bundled script. Throws where the system has none to give. */
export function startThread(script: string, { hear, lost }: ThreadEvents): SearchThread {
  if (typeof SharedArrayBuffer === 'undefined') throw new Error('there is no memory to share with a thread')
  const worker = new Worker(script)
  worker.on('message', hear)
  worker.on('error', lost)
  worker.on('exit', code => lost(new Error(`a search thread ended with code ${code}`)))
  return { ask: message => worker.postMessage(message), end: () => worker.terminate() }
}

/** Works in this very thread, slice by slice. */
export function searchHere({ hear }: ThreadEvents): SearchThread {
  const thread = new ContactThread(hear)
  return workHere(message => thread.answer(message), ({ id }, message) => hear({ say: 'failed', id, message }))
}
