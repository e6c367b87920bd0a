import { isCutting, motionSpan } from '../motion-words.ts'
import { defineRule } from '../rule.ts'

export const missingLengthOffset = defineRule({
  id: 'missing-length-offset',
  level: 'error',
  group: 'state',
  docs: {
    what: 'A cutting move is made while no tool length is taken into account: neither G43 nor tool-centre control is on, or its H is missing or 0.',
    why: 'The control puts the spindle nose where the tool tip should be: the tool is driven into the part by its whole length.',
    instead: 'Call G43 (or tool-centre control) with the H number of the tool before going near the part.',
  },
  bad: [
    {
      title: 'no length offset at all',
      program: `
N10 T1 M6
N20 G0 X0. Y0. Z5.
N30 G1 Z-1. F200
    ^^ error missing-length-offset: neither
`,
    },
    {
      title: 'H0 is no length',
      program: `
N10 T1 M6
N20 G43 H0 Z5.
N30 G1 Z-1. F200
    ^^ error missing-length-offset: H0
`,
    },
  ],
  good: [{
    title: 'G43 with the number of the tool',
    program: `
N10 T1 M6
N20 G0 G43 H1 Z5.
N30 G1 Z-1. F200
`,
  }],
  start: report => {
    const memory = { told: false }
    return {
      memory,
      block(step) {
        const { lengthCompensation, toolCentre, lengthOffset } = step.after
        const on = lengthCompensation === 43 || toolCentre
        if (on && lengthOffset !== undefined && lengthOffset !== 0) memory.told = false
        else if (!memory.told && isCutting(step)) {
          memory.told = true
          const reason = !on ? 'neither G43 nor tool-centre control is on'
            : lengthOffset === undefined ? 'no H word has named a length offset' : 'H0 stands for no length'
          report({
            rule: 'missing-length-offset', span: motionSpan(step.block),
            message: `This block cuts without the tool's length: ${reason}.`,
          })
        }
      },
    }
  },
})
