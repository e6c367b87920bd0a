import { defineRule } from '../rule.ts'

export const endlessLoop = defineRule({
  id: 'endless-loop',
  level: 'error',
  group: 'text',
  docs: {
    what: 'A loop never ends, or runs blocks again beyond the limit of 200,000.',
    why: 'The machine goes on until somebody stops it, each time deeper or further where positions are incremental.',
    instead: 'Change what the condition asks for inside the loop.',
  },
  bad: [
    {
      title: 'nothing in the condition changes',
      program: `
N10 #1 = 1
N20 WHILE [#1 LT 5] DO1
N30 G0 X#1
N40 END1
    ^^^^ error endless-loop: never ends
N50 M30
`,
    },
    {
      title: 'a jump to itself',
      program: `
N10 GOTO 10
    ^^^^^^^ error endless-loop: never ends
N20 M30
`,
    },
  ],
  good: [{
    title: 'the loop counts',
    program: `
N10 #1 = 1
N20 WHILE [#1 LT 5] DO1
N30 G0 X#1
N40 #1 = #1 + 1
N50 END1
N60 M30
`,
  }],
})
