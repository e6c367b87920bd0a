import { defineRule } from '../rule.ts'

export const unclosedBracket = defineRule({
  id: 'unclosed-bracket',
  level: 'error',
  group: 'text',
  docs: {
    what: 'A bracket of an expression is opened with [ and not closed on its line.',
    why: 'The value of the word cannot be worked out; the control stops here.',
    instead: 'Close the bracket.',
  },
  bad: [{
    title: 'an expression without its end',
    program: `
N10 G0 X[2*[3+4] Y20.
        ^ error unclosed-bracket
`,
  }],
  good: [{
    title: 'both brackets closed',
    program: `
N10 G0 X[2*[3+4]] Y20.
`,
  }],
})
