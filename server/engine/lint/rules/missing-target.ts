import { defineRule } from '../rule.ts'

export const missingTarget = defineRule({
  id: 'missing-target',
  level: 'error',
  group: 'text',
  docs: {
    what: 'A jump, a loop or a call goes to a block or a program that is not there.',
    why: 'The control stops with an alarm, or runs a program of that number that an earlier job has left in its memory.',
    instead: 'Correct the number, or put the program beside this one.',
  },
  bad: [
    {
      title: 'no such sequence number',
      program: `
N10 GOTO 100
    ^^^^^^^^ error missing-target: N100
N20 M30
`,
    },
    {
      title: 'no such program',
      program: `
N10 M98 P1000
        ^^^^^ error missing-target: O1000
N20 M30
`,
    },
    {
      title: 'a loop without its end',
      program: `
N10 WHILE [1 LT 2] DO1
    ^^^^^^^^^^^^^^^^^^ error missing-target: END1
N20 M30
`,
    },
  ],
  good: [{
    title: 'each target is there',
    program: `
N10 M98 P1000
N20 GOTO 40
N30 G0 X1.
N40 M30
O1000
N10 G0 Y1.
N20 M99
`,
  }],
})
