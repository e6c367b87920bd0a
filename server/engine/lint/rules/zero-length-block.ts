import type { Span } from '../../../../shared/span.ts'
import { axisLetters } from '../../nc/addresses.ts'
import { blocks } from '../figures.ts'
import { axisWordsSpan, isReturnHome } from '../motion-words.ts'
import { wordSpan } from '../../nc/words.ts'
import { blockOn, isPlain, without } from '../fix-text.ts'
import { Notes } from '../notes.ts'
import { defineRule } from '../rule.ts'

/** Up to so many places are told one by one; more of them are a habit, and one finding. */
const SINGLE_PLACES = 20
const letters = new Set(Array.from(axisLetters, letter => letter.charCodeAt(0)))

export const zeroLengthBlock = defineRule({
  id: 'zero-length-block',
  level: 'note',
  group: 'motion',
  docs: {
    what: 'A block in the cut has axis words and moves no axis.',
    why: 'The control stops looking ahead there for a moment, which can leave a mark; usually the same point was posted twice.',
    instead: 'Take the block out, or correct the word that should differ.',
  },
  bad: [{
    title: 'the same point twice',
    setup: '{ "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150 } } }',
    program: `
N10 G21 G90 G1 X10. Y5. F200
N20 X10. Y5.
    ^^^^^^^^ note zero-length-block
N30 X20.
`,
  }],
  good: [{
    title: 'a rapid to where the tool is does no harm',
    setup: '{ "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150 } } }',
    program: `
N10 G21 G90 G0 X10. Y5.
N20 G0 X10. Y5.
N30 G1 X20. F200
`,
  }],
  isPerText: true,
  start: report => {
    // One place more than are told singly shows that there are more.
    const memory = { inRun: false }, counts = { blocks: 0, runs: 0 }, places = new Notes<{ readonly span: Span }>(SINGLE_PLACES + 1)
    return {
      memory, counts, notes: places,
      block({ block, before, after, firstMotion, endMotion }) {
        if (!hasAxisWord(block.letters, block.count)) return
        const stands = after.joints.every((value, joint) => value === before.joints[joint])
        // An arc that ends where it began runs a full circle.
        const isFault = after.motion === 1 && stands && takesMotion(block.letters, block.values, block.count) && !isReturnHome(block)
        if (isFault) {
          counts.blocks++
          if (!memory.inRun) {
            counts.runs++
            places.add({ span: axisWordsSpan(block) })
          }
        }
        if (isFault || endMotion > firstMotion) memory.inRun = isFault
      },
      end() {
        const [first] = places.list, { blocks: count, runs } = counts
        if (first === undefined) return
        if (runs > SINGLE_PLACES) {
          report({ rule: 'zero-length-block', span: first.span, message: `This block moves no axis, and neither do ${count - 1} others of this program.` })
          return
        }
        const more = count > runs ? ` (${blocks(count)} of this program are like that)` : ''
        for (const { span } of places.list) report({ rule: 'zero-length-block', span, message: `This block has axis words and moves no axis${more}.` })
      },
    }
  },
  // The block and its other words stay: something may jump to its number.
  fix: place => {
    const block = blockOn(place, place.line)
    if (block === undefined) return undefined
    const own = Array.from({ length: block.count }, (_, i) => i).filter(i => letters.has(block.letters[i] ?? 0))
    if (own.length === 0 || !own.every(i => isPlain(block, i))) return undefined
    return { title: 'Take the axis words out', edits: own.map(i => without(place, wordSpan(block, i))), keepsMotion: true }
  },
})

function hasAxisWord(letterCodes: Uint8Array, count: number): boolean {
  for (let i = 0; i < count; i++) if (letters.has(letterCodes[i] ?? 0)) return true
  return false
}

/** No code of the block takes the axis words for something else: a dwell, an offset, a home position. */
function takesMotion(letterCodes: Uint8Array, values: Float64Array, count: number): boolean {
  for (let i = 0; i < count; i++) {
    if (letterCodes[i] === 71 && [4, 10, 28, 30, 31, 51, 52, 65, 66, 68, 68.2, 92].includes(values[i] ?? NaN)) return false
  }
  return true
}
