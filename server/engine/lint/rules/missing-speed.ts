import { blockOn, nextWord, wordsBehind } from '../fix-text.ts'
import { findWord, wordSpan } from '../../nc/words.ts'
import { isCutting, motionName, motionSpan } from '../motion-words.ts'
import { defineRule } from '../rule.ts'

/** The bit of S in `Block.unreadable`. */
const S = 1 << 18

export const missingSpeed = defineRule({
  id: 'missing-speed',
  level: 'warning',
  group: 'state',
  docs: {
    what: 'A cutting move is made with the spindle on (M3, M4) while no S word has given its speed.',
    why: 'The spindle turns at whatever speed was left over from the program before, or not at all.',
    instead: 'Write an S word before the first cut, best on the line of M3.',
  },
  bad: [{
    title: 'M3 without S',
    program: `
N10 M3
N20 G1 X10. F200
    ^^ warning missing-speed: no S word
N30 X20.
`,
  }],
  good: [{
    title: 'S stands on a line of its own',
    program: `
N10 S8000
N20 M3
N30 G1 X10. F200
`,
  }],
  start: report => {
    const memory = { told: false }
    return {
      memory,
      block(step) {
        const { speed, spindle } = step.after
        // An S that could not be read has been reported.
        if ((step.block.unreadable & S) !== 0) memory.told = true
        else if (speed !== undefined && speed !== 0) memory.told = false
        else if (!memory.told && spindle !== 'stopped' && isCutting(step)) {
          memory.told = true
          const reason = speed === 0 ? 'its speed is S0' : 'no S word has given a speed yet'
          report({
            rule: 'missing-speed', span: motionSpan(step.block),
            message: `${motionName(step.block)} cuts with the spindle switched on, but ${reason}.`,
          })
        }
      },
    }
  },
  fix: place => {
    const next = nextWord(place, 'S'), block = blockOn(place, place.line)
    if (next === undefined || block === undefined) return undefined
    const own = findWord(block, 'S')
    const edit = own < 0 ? wordsBehind(block, next) : { span: wordSpan(block, own), text: next }
    return { title: `Write ${next}, the next speed of the program`, edits: [edit], keepsMotion: false }
  },
})
