import { defineRule } from '../rule.ts'

export const unclosedComment = defineRule({
  id: 'unclosed-comment',
  level: 'error',
  group: 'text',
  docs: {
    what: 'A comment is opened with ( and not closed on its line.',
    why: 'Everything behind the bracket is lost, and some controls go on reading comment in the next lines.',
    instead: 'Close the comment on the same line.',
  },
  bad: [{
    title: 'the rest of the line is lost',
    program: `
N10 G0 X0. (APPROACH Y20.
           ^ error unclosed-comment
`,
  }],
  good: [{
    title: 'closed on its line',
    program: `
N10 G0 X0. (APPROACH) Y20.
`,
  }],
})
