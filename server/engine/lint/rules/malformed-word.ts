import { defineRule } from '../rule.ts'

export const malformedWord = defineRule({
  id: 'malformed-word',
  level: 'error',
  group: 'text',
  docs: {
    what: 'A letter stands without its number, or letters stand where a word is meant.',
    why: 'The control stops with an alarm, or leaves the word out and moves without it.',
    instead: 'Write the number behind the letter, or take the letter out.',
  },
  bad: [{
    title: 'the number is missing',
    program: `
N10 G1 X Y5. F200
       ^ error malformed-word: X
`,
  }],
  good: [{
    title: 'blanks between letter and number do no harm',
    program: `
N10 G1 X 10. Y5. F200
`,
  }],
})
