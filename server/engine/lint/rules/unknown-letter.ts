import { defineRule } from '../rule.ts'

export const unknownLetter = defineRule({
  id: 'unknown-letter',
  level: 'error',
  group: 'text',
  docs: {
    what: 'A word begins with a letter that has no meaning, or names an axis the machine does not have.',
    why: 'The control stops with an alarm; or the motion that was meant is not made.',
    instead: 'Correct the letter, or give the axis in the machine file.',
  },
  bad: [
    {
      title: 'E is no address of a milling machine',
      program: `
N10 G1 X10. E5. F200
            ^^^ error unknown-letter: E
`,
    },
    {
      title: 'the machine has no B axis',
      program: `
N10 G0 X10. B5.
            ^^^ error unknown-letter: B
`,
    },
  ],
  good: [{
    title: 'the axes of the built-in machine',
    program: `
N10 G0 X10. Y10. Z10. A5. C5.
`,
  }],
})
