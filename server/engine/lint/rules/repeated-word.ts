import { defineRule } from '../rule.ts'

export const repeatedWord = defineRule({
  id: 'repeated-word',
  level: 'error',
  group: 'text',
  docs: {
    what: 'A letter that is meant once stands twice in a block.',
    why: 'Controls stop, or take one of the two; which one differs.',
    instead: 'Take one out, or correct its letter.',
  },
  bad: [{
    title: 'X twice, Y was meant',
    program: `
N10 G1 X10. X20. F200
            ^^^^ error repeated-word: X20.
`,
  }],
  good: [{
    title: 'several G and M codes are usual',
    program: `
N10 G90 G17 G1 X10. F200 M3 M8
`,
  }],
})
