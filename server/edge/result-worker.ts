import { parentPort } from 'node:worker_threads'
import { concludeHeights, HeightSearch, sampleSurface, standingOver, stockCover, writeSweptBoxes } from '../engine/service.ts'
import { ResultControl, type ResultAnswer, type ResultQuestion } from './result-protocol.ts'

// One thread of the result pool. It holds nothing between questions: everything lies on shared memory, and work
// that is no longer wanted is told so by a flag there, because a thread at work does not hear messages.

if (parentPort === null) throw new Error('the result worker runs as a worker thread only')
const port = parentPort

port.on('message', (question: ResultQuestion) => {
  const { id } = question
  let said: ResultAnswer
  try {
    said = { id, ...answer(question) }
  } catch (error) {
    said = { id, failure: error instanceof Error ? error.stack ?? error.message : String(error) }
  }
  port.postMessage(said)
})

function answer(question: ResultQuestion): Omit<ResultAnswer, 'id'> {
  switch (question.ask) {
    case 'sample':
      return { samples: sampleSurface(question.mesh, true) }
    case 'sweep':
      writeSweptBoxes(question.input, question.boxes, question.first, question.end, cancellationOf(question.control))
      return {}
    case 'measure':
      measure(question)
      return {}
    case 'conclude': {
      const { input, samples, figures, stock, part } = question
      const standing = standingOver(figures, stockCover(stock, samples, part))
      return { result: concludeHeights(input, samples, figures, standing), standing }
    }
    default:
      return question satisfies never
  }
}

function measure({ job, patches, control }: ResultQuestion & { ask: 'measure' }): void {
  const search = new HeightSearch(job, cancellationOf(control))
  for (;;) {
    const next = Atomics.add(control, ResultControl.next, 1)
    if (next >= patches.length || Atomics.load(control, ResultControl.cancelled) !== 0) return
    if (!search.searchPatch(patches[next] ?? 0)) return
    Atomics.add(control, ResultControl.done, 1)
  }
}

function cancellationOf(control: Int32Array): { readonly cancelled: () => boolean } {
  return { cancelled: () => Atomics.load(control, ResultControl.cancelled) !== 0 }
}
