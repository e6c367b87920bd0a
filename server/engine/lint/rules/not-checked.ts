import { defineRule } from '../rule.ts'

export const notChecked = defineRule({
  id: 'not-checked',
  level: 'warning',
  group: 'inputs',
  docs: {
    what: 'A check could not run, or was cut short, and why.',
    why: 'No finding there does not mean that all is well: nobody has looked.',
    instead: 'Mend what the message names; until then, prove those blocks out at the machine.',
  },
  bad: [{
    title: 'the length of a tool is the machine\'s own knowledge',
    program: `
N10 G0 X#2001
       ^^^^^^ warning not-checked: #2001
`,
  }],
  good: [{
    title: 'numbers',
    program: `
N10 G0 X10.
`,
  }],
})
