import type { Edit } from '../../../../shared/finding.ts'
import type { Control } from '../../../../shared/machine.ts'
import type { Span } from '../../../../shared/span.ts'
import { blocks } from '../figures.ts'
import { sequenceSpan } from '../../nc/words.ts'
import { eachSequence } from '../../nc/sequence-numbers.ts'
import { lineOf } from '../../nc/line-index.ts'
import { Notes } from '../notes.ts'
import { NumberSet } from '../number-set.ts'
import { blocksFrom, without } from '../fix-text.ts'
import { defineRule, type BeforeEdit } from '../rule.ts'

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
  isPerText: true,
  start: (report, { text, machine }) => {
    // The second lone % ends the program; a place of it is enough.
    const memory = { begun: false }, ends = new Notes<{ readonly span: Span }>(1)
    const { wholeNumber } = machine.control
    let concluded: Conclusion | undefined
    return {
      memory, notes: ends,
      conclusion: () => concluded,
      block({ block }) {
        if (block.percent && memory.begun) ends.add({ span: { start: block.start, end: block.end } })
        memory.begun ||= block.percent || block.count > 0 || block.sequence >= 0
      },
      end(_toolpath, lineStarts, before) {
        const end = ends.list[0]?.span.start ?? text.length
        concluded = before === undefined ? undefined : afterEdit(before, { text, lineStarts, end }, wholeNumber)
        if (concluded !== undefined) return
        const seen = new SequenceNumbers(), numbers = new NumberSet()
        let repeats = false
        let run: { readonly number: number, readonly span: Span, readonly first: number, readonly count: number } | undefined
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
        eachSequence(text, lineStarts, wholeNumber, { end }, (number, start, end) => {
          const first = seen.add(number, start)
          if (first === start) {
            numbers.add(number)
            flush()
            return
          }
          repeats = true
          run = run === undefined ? { number, span: { start, end }, first, count: 1 } : { ...run, count: run.count + 1 }
        })
        flush()
        if (!repeats) concluded = { numbers, end }
      },
    }
  },
  // A jump may lead to either of the two blocks.
  fix: place => {
    if (/GOTO|M\s*9[89]/i.test(place.text)) return undefined
    const seen = new Set<number>(), edits: Edit[] = []
    for (const block of blocksFrom(place, 0)) {
      const sequence = sequenceSpan(block)
      if (sequence === undefined) continue
      const isRepeated = seen.has(block.sequence)
      seen.add(block.sequence)
      if (sequence.start < place.span.start) continue
      // One finding is about the repeated numbers that follow each other.
      if (!isRepeated) break
      edits.push(without(place, sequence))
    }
    const [first] = edits
    if (first === undefined) return undefined
    return { title: edits.length === 1 ? 'Take the repeated number out' : `Take ${edits.length} repeated numbers out`, edits, keepsMotion: true }
  },
})

/** Of a text in which no number is repeated: its numbers, and where they end. */
interface Conclusion { readonly numbers: NumberSet, readonly end: number }

/** The same after an edit, where no number is repeated again; undefined: the whole text has to be looked through. */
function afterEdit({ text: oldText, lineStarts: oldStarts, change, conclusion }: BeforeEdit, { text, lineStarts, end }: { readonly text: string, readonly lineStarts: Uint32Array, readonly end: number }, wholeNumber: Control['wholeNumber']): Conclusion | undefined {
  const before = conclusion as Conclusion | undefined
  // The end of the program must have moved with the text behind the edit.
  if (before === undefined || before.end < change.oldEnd || end - before.end !== change.newEnd - change.oldEnd) return undefined
  const numbers = new NumberSet(before.numbers)
  // A line ends where it ends because of what stands on both sides: one line more on either side is looked at.
  const linesOf = (starts: Uint32Array, to: number) => ({ first: Math.max(0, lineOf(starts, change.start) - 1), last: Math.min(starts.length - 1, lineOf(starts, to) + 2) })
  eachSequence(oldText, oldStarts, wholeNumber, { ...linesOf(oldStarts, change.oldEnd), end: before.end }, number => numbers.delete(number))
  let repeats = false
  eachSequence(text, lineStarts, wholeNumber, { ...linesOf(lineStarts, change.newEnd), end }, number => {
    repeats ||= numbers.has(number)
    numbers.add(number)
  })
  return repeats ? undefined : { numbers, end }
}

/** Where each number stood first, in pages of typed numbers: a million blocks are numbered densely. */
class SequenceNumbers {
  /** Offsets and one more, so that nought is none. */
  readonly #pages = new Map<number, Uint32Array>()
  #key = -1
  #page: Uint32Array = new Uint32Array(0)

  /** Offset where the number stood first; this one if it is new. */
  add(number: number, offset: number): number {
    const key = Math.floor(number / 4096)
    if (key !== this.#key) this.#turnTo(key)
    const known = this.#page[number % 4096] ?? 0
    if (known > 0) return known - 1
    this.#page[number % 4096] = offset + 1
    return offset
  }

  #turnTo(key: number): void {
    let page = this.#pages.get(key)
    if (page === undefined) this.#pages.set(key, page = new Uint32Array(4096))
    this.#key = key
    this.#page = page
  }
}
