import { defineRule } from '../rule.ts'

export const malformedNumber = defineRule({
  id: 'malformed-number',
  level: 'error',
  group: 'text',
  docs: {
    what: 'The number of a word cannot be read: a second point, a sign inside, no digit, too many digits.',
    why: 'The control stops, or reads the part up to the odd character: X1.2.5 may become X1.2.',
    instead: 'Correct the number.',
  },
  bad: [
    {
      title: 'two decimal points',
      program: `
N10 G1 X1.2.5 Y5. F200
       ^^^^^^ error malformed-number: point
`,
    },
    {
      title: 'a sign alone',
      program: `
N10 G1 X-. Y5. F200
       ^^^ error malformed-number: digit
`,
    },
  ],
  good: [{
    title: 'signs, leading and trailing points are all right',
    program: `
N10 G1 X-.5 Y+5. F200
`,
  }],
})
