import type { Span } from '../../../../shared/span.ts'
import { WordFlag } from '../../nc/block.ts'
import { findCode, wordSpan } from '../../nc/words.ts'
import { rounded } from '../figures.ts'
import { Notes } from '../notes.ts'
import { defineRule } from '../rule.ts'

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
        // In a dwell, X, U and P are times.
        if (findCode(block, 'G', 4) >= 0) return
        for (let i = 0; i < block.count; i++) {
          const letter = block.letters[i] ?? 0
          const flags = block.wordFlags[i] ?? 0
          if (!letters.has(letter) || (flags & WordFlag.unknown) !== 0) continue
          if ((flags & WordFlag.point) !== 0) {
            memory.withPoint = true
            memory.open &= ~bitOf(letter)
          } else if (block.values[i] !== 0) {
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
})

function bitOf(letter: number): number {
  return 1 << letter - 65
}
