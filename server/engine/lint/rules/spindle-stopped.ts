import { findCode } from '../../nc/words.ts'
import { blockOn, blocksFrom, wordsBehind } from '../fix-text.ts'
import type { FixPlace } from '../fix.ts'
import { isCutting, motionName, motionSpan } from '../motion-words.ts'
import { defineRule } from '../rule.ts'

export const spindleStopped = defineRule({
  id: 'spindle-stopped',
  level: 'error',
  group: 'state',
  docs: {
    what: 'A cutting move is made while the spindle stands still.',
    why: 'The cutter is pushed into the material without turning and breaks.',
    instead: 'Write M3 (or M4) with a speed before the cut; a tool change and M5 stop the spindle.',
  },
  bad: [
    {
      title: 'the spindle was never started',
      program: `
N10 G1 X10. F200
    ^^ error spindle-stopped: G1
N20 X20.
`,
    },
    {
      title: 'M5 stopped it',
      program: `
N10 S8000 M3
N20 G1 X10. F200
N30 M5
N40 X20.
    ^^^^ error spindle-stopped
`,
    },
    {
      title: 'a tool change stops the spindle',
      program: `
N10 S8000 M3
N20 G1 X10. F200
N30 T2 M6
N40 G1 X20.
    ^^ error spindle-stopped
`,
    },
  ],
  good: [{
    title: 'M3 takes effect before the motion of its own block',
    program: `
N10 G1 X10. F200 S8000 M3
`,
  }],
  start: report => {
    const memory = { told: false }
    return {
      memory,
      block(step) {
        if (step.after.spindle !== 'stopped' && step.before.spindle !== 'stopped') memory.told = false
        // M5 acts after the motion of its block, M3 and M4 before it: one of the two states has the spindle on while it cuts.
        else if (step.after.spindle === 'stopped' && step.before.spindle === 'stopped' && !memory.told && isCutting(step)) {
          memory.told = true
          report({
            rule: 'spindle-stopped', span: motionSpan(step.block),
            message: `${motionName(step.block)} moves in the cut, but the spindle is not turning: no M3 or M4 is in force.`,
          })
        }
      },
    }
  },
  fix: place => {
    const block = blockOn(place, place.line), { speed } = place.after
    // Without a speed, M3 alone would only be the next fault.
    if (block === undefined || speed === undefined || speed === 0) return undefined
    const code = lastDirection(place)
    return { title: `Switch the spindle on: ${code} ${Number.isNaN(speed) ? 'at the speed that the control works out' : `at S${speed}`}`, edits: [wordsBehind(block, code)], keepsMotion: false }
  },
})

/** The way the spindle has turned last; clockwise where it has not turned yet. */
function lastDirection(place: FixPlace): 'M3' | 'M4' {
  let code: 'M3' | 'M4' = 'M3'
  for (const block of blocksFrom(place, 0)) {
    if (block.line >= place.line) break
    if (findCode(block, 'M', 3) >= 0 || findCode(block, 'M', 13) >= 0) code = 'M3'
    if (findCode(block, 'M', 4) >= 0 || findCode(block, 'M', 14) >= 0) code = 'M4'
  }
  return code
}
