import { defineRule } from '../rule.ts'

export const badExpression = defineRule({
  id: 'bad-expression',
  level: 'error',
  group: 'text',
  docs: {
    what: 'An expression has no value: it divides by zero, leaves the domain of a function, overflows or is not written as one.',
    why: 'The control stops with an alarm in the middle of the work.',
    instead: 'Mend the expression, or ask for the case before it is worked out.',
  },
  bad: [
    {
      title: 'it divides by zero',
      program: `
N10 G90 G0 X[1 / 0]
           ^^^^^^^^ error bad-expression: it divides by zero
`,
    },
    {
      title: 'the function takes values from -1 to 1',
      program: `
N10 #1 = ASIN[1.5]
    ^^^^^^^^^^^^^^ error bad-expression: ASIN
`,
    },
    {
      title: 'no such variable',
      program: `
N10 #[1.5] = 3
    ^^^^^^^^^^ error bad-expression: #1.5
`,
    },
  ],
  good: [{
    title: 'operators, functions and brackets',
    program: `
N10 #1 = ASIN[0.5] / [2 ** 3]
N20 G90 G0 X[#1 MOD 2]
`,
  }],
})
