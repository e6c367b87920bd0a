import { Worker } from 'node:worker_threads'

/** Whoever answers questions: a thread, or this one between other things. */
export interface Answerer<Question> {
  readonly ask: (question: Question) => void
  readonly end: () => Promise<unknown>
}

export interface ThreadEvents<Message> {
  readonly hear: (message: Message) => void
  /** The thread is no more; what it was asked is not answered. */
  readonly lost: (error: Error) => void
}

/** Starts a thread that runs the script and answers what it is asked. Throws where the system has none to give. */
export type StartThread<Question, Message> = (script: string, events: ThreadEvents<Message>) => Answerer<Question>

/** The system's own threads, as long as there is memory to share with them. */
export function startThread<Question, Message>(script: string, { hear, lost }: ThreadEvents<Message>): Answerer<Question> {
  if (typeof SharedArrayBuffer === 'undefined') throw new Error('there is no memory to share with a thread')
  const worker = new Worker(script)
  worker.on('message', hear)
  worker.on('error', lost)
  worker.on('exit', code => lost(new Error(`a thread ended with code ${code}`)))
  return { ask: question => worker.postMessage(question), end: () => worker.terminate() }
}
