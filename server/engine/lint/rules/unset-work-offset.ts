import { defineRule } from '../rule.ts'

export const unsetWorkOffset = defineRule({
  id: 'unset-work-offset',
  level: 'error',
  group: 'state',
  docs: {
    what: 'The program uses a work offset for which the setup sheet gives no values.',
    why: 'Nobody can say where the part then lies; nothing can be checked while that offset is on.',
    instead: 'Give the offset in the sheet\'s `offsets`, or correct the code.',
  },
  bad: [{
    title: 'G55 is not in the sheet',
    setup: '{ "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } } }',
    program: `
N10 G90 G55
        ^^^ error unset-work-offset: G54
N20 G0 X0. Y0.
`,
  }],
  good: [{
    title: 'the offset of the sheet',
    setup: '{ "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } } }',
    program: `
N10 G90 G54
N20 G0 X0. Y0.
`,
  }],
})
