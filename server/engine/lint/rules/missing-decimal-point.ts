import type { Edit } from '../../../../shared/finding.ts'
import type { Span } from '../../../../shared/span.ts'
import { WordFlag, type Block } from '../../nc/block.ts'
import { findCode, wordSpan } from '../../nc/words.ts'
import { rounded } from '../figures.ts'
import { blocksFrom, textOf } from '../fix-text.ts'
import type { Fix, FixPlace } from '../fix.ts'
import { Notes } from '../notes.ts'
import { defineRule } from '../rule.ts'

/** A program with more words than these is to be posted again. */
const MOST_MENDED = 100_000

/** Up to so many places are told one by one; more of them are a habit, and one finding. */
const SINGLE_PLACES = 20
const letters = new Set(Array.from('XYZABCUVWIJKR', letter => letter.charCodeAt(0)))

export const missingDecimalPoint = defineRule({
  id: 'missing-decimal-point',
  level: 'warning',
  group: 'text',
  docs: {
    what: 'A length or an angle other than 0 is written without a decimal point.',
    why: 'Many controls read a number without a point in their least increment: X100 is then 0.1 mm, a thousandth of what was meant. One such word among others that have a point is usually a slip of the hand.',
    instead: 'Write the point: X100. instead of X100.',
  },
  bad: [
    {
      title: 'one word among others that have a point',
      program: `
N10 G1 X10.5 Y20. F200
N20 X100 Y30.
    ^^^^ warning missing-decimal-point: X100
N30 X10. Y40.
`,
    },
    {
      title: 'a program without any point is one finding',
      program: `
N10 G1 X10 Y20 F200
       ^^^ warning missing-decimal-point: 3 more
N20 X100 Y30
N30 X0 Y0
`,
    },
  ],
  good: [{
    title: 'a point behind every length; feeds, speeds, dwells and 0 need none',
    program: `
N10 G1 X10. Y20. F200 S8000
N20 G4 P500
N30 X0 Y0
`,
  }],
  isPerText: true,
  start: (report, { text, machine }) => {
    const { wholeNumber } = machine.control
    /** Letters whose last word stood without a point, as bits: the next one goes on with the same run. Whether any word has one. */
    const memory = { open: 0, withPoint: false }
    const counts = { without: 0, runs: 0 }, runs = new Notes<{ readonly span: Span, readonly inch: boolean }>(SINGLE_PLACES + 1)

    const asRead = (word: string, inch: boolean) => {
      const number = Number(word.slice(1).replace(/\s/g, ''))
      const letter = word.charAt(0).toUpperCase()
      const unit = 'ABC'.includes(letter) ? '°' : inch ? ' inch' : ' mm'
      const least = wholeNumber.as === 'increments' ? wholeNumber.increment : inch && unit !== '°' ? 1e-4 : 1e-3
      const small = `${Number((number * least).toPrecision(6))}${unit}`
      return wholeNumber.as === 'increments' ? `this control reads ${small}` : `this control reads ${rounded(number)}${unit}, others ${small}`
    }

    return {
      memory, counts, notes: runs,
      block({ block, after }) {
        if (isDwell(block)) return
        for (let i = 0; i < block.count; i++) {
          const letter = block.letters[i] ?? 0, point = pointOf(block, i)
          if (point === 'given') {
            memory.withPoint = true
            memory.open &= ~bitOf(letter)
          } else if (point === 'missing') {
            counts.without++
            if ((memory.open & bitOf(letter)) !== 0) continue
            memory.open |= bitOf(letter)
            counts.runs++
            runs.add({ span: wordSpan(block, i), inch: after.unit === 25.4 })
          }
        }
      },
      end() {
        const [first] = runs.list, { withPoint } = memory, { without, runs: runCount } = counts
        if (first === undefined) return
        const wordOf = (span: Span) => text.slice(span.start, span.end)
        const tell = (span: Span, message: string) => report({ rule: 'missing-decimal-point', span, message })
        if (withPoint && runCount <= SINGLE_PLACES) {
          for (const { span, inch } of runs.list) {
            tell(span, `${wordOf(span)} has no decimal point, unlike other words of this program: ${asRead(wordOf(span), inch)}.`)
          }
          return
        }
        const more = without === 1 ? '' : ` and ${without - 1} more ${without === 2 ? 'word' : 'words'}`
        const habit = withPoint ? ', while others of this program have one' : ''
        tell(first.span, `${wordOf(first.span)}${more} ${without === 1 ? 'has' : 'have'} no decimal point${habit}: ${asRead(wordOf(first.span), first.inch)}.`)
      },
    }
  },
  fix: withPoints,
})

/** In a dwell, X, U and P are times. */
function isDwell(block: Block): boolean {
  return findCode(block, 'G', 4) >= 0
}

function pointOf(block: Block, word: number): 'given' | 'missing' | 'not needed' {
  const flags = block.wordFlags[word] ?? 0
  if (!letters.has(block.letters[word] ?? 0) || (flags & WordFlag.unknown) !== 0) return 'not needed'
  return (flags & WordFlag.point) !== 0 ? 'given' : block.values[word] === 0 ? 'not needed' : 'missing'
}

/** Each number as the control reads it, with its point: those of the finding's letter up to the next that has one, or all where it is a habit. */
function withPoints(place: FixPlace): Fix | undefined {
  const all: Edit[] = [], own: Edit[] = []
  const letter = place.text.charCodeAt(place.span.start) & ~32
  let runs = 0, open = 0, withPoint = false, isOwnRun = false
  for (const block of blocksFrom(place, 0)) {
    if (isDwell(block)) continue
    for (let i = 0; i < block.count; i++) {
      const point = pointOf(block, i), here = block.letters[i] ?? 0
      if (point === 'given') {
        withPoint = true
        open &= ~bitOf(here)
        if (here === letter) isOwnRun = false
      } else if (point === 'missing') {
        const span = wordSpan(block, i)
        if ((open & bitOf(here)) === 0) runs++
        open |= bitOf(here)
        if (span.start === place.span.start) isOwnRun = true
        const edit = { span, text: pointed(textOf(place, span), block.values[i] ?? 0, place.machine.control.wholeNumber.as === 'increments') }
        if (all.push(edit) > MOST_MENDED) return undefined
        if (isOwnRun && here === letter) own.push(edit)
      }
    }
  }
  const edits = withPoint && runs <= SINGLE_PLACES ? own : all, [first] = edits
  if (first === undefined) return undefined
  const more = edits.length === 1 ? '' : `, and the points of ${edits.length - 1} more`
  return { title: `Write ${first.text}${more}`, edits, keepsMotion: true }
}

/** A number of increments is written as the length or angle it stands for. */
function pointed(word: string, value: number, isCounted: boolean): string {
  if (!isCounted) return `${word}.`
  const number = String(Number(value.toPrecision(12)))
  return word.charAt(0) + (number.includes('.') ? number : `${number}.`)
}

function bitOf(letter: number): number {
  return 1 << letter - 65
}
