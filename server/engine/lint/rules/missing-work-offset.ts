import { wordsBefore } from '../fix-text.ts'
import { isMachineMove, isReturnHome, motionSpan } from '../motion-words.ts'
import { defineRule } from '../rule.ts'

export const missingWorkOffset = defineRule({
  id: 'missing-work-offset',
  level: 'warning',
  group: 'state',
  docs: {
    what: 'The first motion in part coordinates is made before a work offset (G54 to G59) has been named.',
    why: 'The control takes the offset that was left on, which need not be that of this part.',
    instead: 'Name the work offset in the start lines of the program.',
  },
  bad: [{
    title: 'no G54 before the first motion',
    program: `
N10 G90 G0 X10. Y0.
        ^^ warning missing-work-offset: G54
N20 Z5.
`,
  }],
  good: [
    {
      title: 'named in the block of the first motion',
      program: `
N10 G90 G54 G0 X10. Y0.
`,
    },
    {
      title: 'machine coordinates and the return home need none',
      program: `
N10 G91 G28 Z0.
N20 G90 G53 G0 X50. Y0.
N30 G54 G0 X10.
`,
    },
  ],
  start: report => {
    const memory = { told: false }
    return {
      memory,
      block({ block, after, firstMotion, endMotion }) {
        if (memory.told || after.workOffset !== undefined || endMotion === firstMotion || isReturnHome(block) || isMachineMove(block)) return
        memory.told = true
        report({
          rule: 'missing-work-offset', span: motionSpan(block),
          message: 'The first motion comes before any work offset (G54 to G59) has been named.',
        })
      },
    }
  },
  // The base offset of the sheet is the one the check has taken.
  fix: ({ setup, span }) => setup?.offsets[setup.baseOffset] === undefined ? undefined : {
    title: `Name ${setup.baseOffset}, the base offset of the setup sheet`,
    edits: [wordsBefore(span, setup.baseOffset)], keepsMotion: true, oneByOne: true,
  },
})
