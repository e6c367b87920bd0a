import type { ToWorker } from './contact-protocol.ts'
import { ContactThread } from './contact-thread.ts'
import { workAsThread } from './work-as-thread.ts'

// One thread of the contact pool.

workAsThread<ToWorker>(port => {
  const thread = new ContactThread((message, transfer = []) => port.postMessage(message, transfer))
  return { answer: question => thread.answer(question), failed: ({ id }, message) => port.postMessage({ say: 'failed', id, message }) }
})
