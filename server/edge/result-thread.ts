import { readFileSync } from 'node:fs'
import { concludeHeights, HeightSearch, sampleSurface, standingOver, stockCover, writeSweptBoxes } from '../engine/service.ts'
import { cancellationOf, Control, isCancelled } from './control-words.ts'
import { KeptHeights } from './kept-heights.ts'
import { engineIdentity } from './kept-meshes.ts'
import type { ResultAnswer, ResultQuestion, WholeHeights } from './result-protocol.ts'
import { ResultStore } from './result-store.ts'

/** Motions whose boxes are written between two places at which the work can be put down: a millisecond or so. */
const motionsAtOnce = 512

type Question<Ask extends ResultQuestion['ask']> = Extract<ResultQuestion, { readonly ask: Ask }>

/**
 * Answers a question of the result pool in steps, so that where there are no threads it can be worked out between other things.
 * Nothing is held between questions: everything lies on shared memory, and work that is no longer wanted is told
 * so by a flag there, because a thread at work does not hear messages. What it throws is a fault of ours.
 */
export function* answerResult(question: ResultQuestion, say: (answer: ResultAnswer) => void): Generator<void, void> {
  const { id } = question
  switch (question.ask) {
    case 'sample':
      say({ id, samples: sampleSurface(question.mesh, typeof SharedArrayBuffer !== 'undefined') })
      return
    case 'recall':
      say({ id, isKept: keptHeights(question.whole).recall(question.whole.figures) })
      return
    case 'keep': {
      let unkept: string | undefined
      keptHeights(question.whole, sentence => { unkept = sentence }).keep(question.whole.figures)
      say({ id, unkept })
      return
    }
    case 'sweep':
      yield* sweep(question)
      say({ id })
      return
    case 'measure':
      yield* measure(question)
      say({ id })
      return
    case 'conclude': {
      const { input, samples, figures, stock, part } = question
      const standing = standingOver(figures, stockCover(stock, samples, part))
      say({ id, result: concludeHeights(input, samples, figures, standing), standing })
      return
    }
    default:
      question satisfies never
  }
}

function* sweep({ input, boxes, first, end, control }: Question<'sweep'>): Generator<void, void> {
  for (let from = first; from < end && !isCancelled(control); from += motionsAtOnce) {
    writeSweptBoxes(input, boxes, from, Math.min(end, from + motionsAtOnce), cancellationOf(control))
    yield
  }
}

function* measure({ job, patches, control }: Question<'measure'>): Generator<void, void> {
  const search = new HeightSearch(job, cancellationOf(control))
  for (;;) {
    const next = Atomics.add(control, Control.next, 1)
    if (next >= patches.length || isCancelled(control)) return
    if (!search.searchPatch(patches[next] ?? 0)) return
    Atomics.add(control, Control.done, 1)
    yield
  }
}

function keptHeights({ input, samples, keeping: { place, script } }: WholeHeights, say: (sentence: string) => void = () => {}): KeptHeights {
  return new KeptHeights(new ResultStore(place, say), engineIdentity(readFileSync(script)), input, samples)
}
