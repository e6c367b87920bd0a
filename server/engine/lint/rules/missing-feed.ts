import { findWord, wordSpan } from '../../nc/words.ts'
import { blockOn, nextWord, wordsBehind } from '../fix-text.ts'
import { isCutting, motionName, motionSpan } from '../motion-words.ts'
import { defineRule } from '../rule.ts'

/** The bit of F in `Block.unreadable`. */
const F = 1 << 5

export const missingFeed = defineRule({
  id: 'missing-feed',
  level: 'error',
  group: 'state',
  docs: {
    what: 'A cutting move (G1, G2, G3) is made while no feed rate is in force.',
    why: 'Most controls stop here with an alarm; some run at the last feed of the program before.',
    instead: 'Write an F word in this block or in an earlier one.',
  },
  bad: [
    {
      title: 'no F word before the first cut; the second cut has the same cause',
      program: `
N10 G0 X0. Y0.
N20 G1 X10.
    ^^ error missing-feed: G1
N30 Y20.
N40 X0. F200
`,
    },
    {
      title: 'a feed of nothing',
      program: `
N10 G1 X10. F0
    ^^ error missing-feed: F0
`,
    },
  ],
  good: [{
    title: 'the feed carries over from an earlier block',
    program: `
N10 G1 X10. F200
N20 X20.
`,
  }],
  start: report => {
    const memory = { told: false }
    return {
      memory,
      block(step) {
        const { feed, feedMode } = step.after
        // An F that could not be read has been reported.
        if ((step.block.unreadable & F) !== 0) memory.told = true
        else if (feed !== undefined && feed !== 0) memory.told = false
        else if (!memory.told && feedMode !== 93 && isCutting(step)) {
          memory.told = true
          const reason = feed === 0 ? 'the feed rate is F0' : 'no F word has set a feed rate yet'
          report({ rule: 'missing-feed', span: motionSpan(step.block), message: `${motionName(step.block)} moves in the cut, but ${reason}.` })
        }
      },
    }
  },
  fix: place => {
    const next = nextWord(place, 'F'), block = blockOn(place, place.line)
    if (next === undefined || block === undefined) return undefined
    const own = findWord(block, 'F')
    const edit = own < 0 ? wordsBehind(block, next) : { span: wordSpan(block, own), text: next }
    return { title: `Write ${next}, the next feed of the program`, edits: [edit], keepsMotion: false }
  },
})
