import type { Span } from '../../../../shared/span.ts'
import { blocks } from '../figures.ts'
import { defineRule } from '../rule.ts'

export const duplicateSequenceNumber = defineRule({
  id: 'duplicate-sequence-number',
  level: 'note',
  group: 'text',
  docs: {
    what: 'A sequence number (N) stands on more than one block.',
    why: 'A restart at that number, or a jump to it, takes the first one it finds.',
    instead: 'Renumber the blocks.',
  },
  bad: [{
    title: 'a block was copied with its number',
    program: `
N10 G0 X0.
N20 G0 X10.
N20 G0 X20.
^^^ note duplicate-sequence-number: N20
N30 G0 X30.
`,
  }],
  good: [{
    title: 'numbers need not ascend, and blocks need none',
    program: `
N20 G0 X0.
N10 G0 X10.
G0 X20.
`,
  }],
  start: report => {
    const seen = new SequenceNumbers()
    let run: { number: number, span: Span, first: number, count: number } | undefined
    const flush = () => {
      if (run === undefined) return
      const { number, span, first, count } = run
      const more = count === 1 ? '' : ` The ${blocks(count - 1)} after it repeat numbers too.`
      report({
        rule: 'duplicate-sequence-number', span,
        message: `N${number} has been used before.${more}`,
        related: [{ span: { start: first, end: first + span.end - span.start }, message: `N${number} stands here first.` }],
      })
      run = undefined
    }
    return {
      block({ block: { sequence, sequenceStart: start, sequenceEnd: end } }) {
        if (sequence < 0) return
        const first = seen.add(sequence, start)
        // A block that runs again in a loop meets itself.
        if (first === start) flush()
        else if (run === undefined) run = { number: sequence, span: { start, end }, first, count: 1 }
        else run.count++
      },
      end: flush,
    }
  },
})

/** Where each number stood first, in pages of typed numbers: a million blocks are numbered densely. */
class SequenceNumbers {
  readonly #pages = new Map<number, Float64Array>()

  /** Offset where the number stood first; this one if it is new. */
  add(number: number, offset: number): number {
    const key = Math.floor(number / 4096)
    let page = this.#pages.get(key)
    if (page === undefined) this.#pages.set(key, page = new Float64Array(4096).fill(-1))
    const known = page[number % 4096] ?? -1
    if (known >= 0) return known
    page[number % 4096] = offset
    return offset
  }
}
