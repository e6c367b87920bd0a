import { defineRule } from '../rule.ts'

export const strayText = defineRule({
  id: 'stray-text',
  level: 'error',
  group: 'text',
  docs: {
    what: 'Something in the line belongs to no word and no comment.',
    why: 'The control stops here; or the text is a note that lost its brackets and would be read as words.',
    instead: 'Put notes in brackets, and take the rest out.',
  },
  bad: [{
    title: 'a sign that means nothing',
    program: `
N10 G0 X0. $ Y20.
           ^ error stray-text: $
`,
  }],
  good: [{
    title: 'a note in brackets, and behind a semicolon',
    program: `
N10 G0 X0. ($ NOTE) Y20. ; $ AND ANOTHER
`,
  }],
})
