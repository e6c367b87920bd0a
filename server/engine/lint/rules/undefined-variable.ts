import { defineRule } from '../rule.ts'

export const undefinedVariable = defineRule({
  id: 'undefined-variable',
  level: 'warning',
  group: 'text',
  docs: {
    what: 'A variable is read before the program has stored anything in it.',
    why: 'The control takes what an earlier program or the operator left there; the motion is then another one each time.',
    instead: 'Set the variable in this program, or give it as an argument of the call.',
  },
  bad: [
    {
      title: 'nothing has set #101',
      program: `
N10 G90 G0 X#101
           ^^^^^ warning undefined-variable: #101 is read before
`,
    },
    {
      title: 'a condition on a variable nobody has set',
      program: `
N10 IF [#500 GT 2] GOTO 30
       ^^^^^^^^^^^ warning undefined-variable: #500
N20 G0 X1.
N30 M30
`,
    },
  ],
  good: [
    {
      title: 'set in an earlier block',
      program: `
N10 #101 = 12.5
N20 G90 G0 X#101
`,
    },
    {
      title: 'an argument of the call',
      program: `
N10 G65 P100 X12.5
N20 M30
O100
N30 G90 G0 X#24
N40 M99
`,
    },
    {
      title: 'asking whether an argument was given',
      program: `
N10 G65 P100 X12.5
N20 M30
O100
N30 IF [#25 EQ #0] THEN #25 = 3
N40 G90 G0 X#24 Y#25
N50 M99
`,
    },
  ],
})
