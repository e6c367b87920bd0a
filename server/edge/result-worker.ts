import type { ResultQuestion } from './result-protocol.ts'
import { answerResult } from './result-thread.ts'
import { workAsThread } from './work-as-thread.ts'

// One thread of the result pool.

workAsThread<ResultQuestion>(port => ({
  answer: question => answerResult(question, answer => port.postMessage(answer)),
  failed: ({ id }, failure) => port.postMessage({ id, failure }),
}))
