import { parentPort, type MessagePort } from 'node:worker_threads'
import { faultOf } from './reason-of.ts'

/**
 * Answers the questions that this thread is sent, each at a stretch: the twin of `workHere`. `open` is given the port and
 * tells how a question is answered, and what is said where an answer has thrown. Throws outside of a worker thread.
 */
export function workAsThread<Question>(open: (port: MessagePort) => { readonly answer: (question: Question) => Generator<void, void>, readonly failed: (question: Question, message: string) => void }): void {
  if (parentPort === null) throw new Error('this runs as a worker thread only')
  const { answer, failed } = open(parentPort)
  parentPort.on('message', (question: Question) => {
    try {
      const steps = answer(question)
      while (steps.next().done !== true);
    } catch (error) {
      failed(question, faultOf(error))
    }
  })
}
