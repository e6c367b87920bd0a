import { defineRule } from '../rule.ts'

export const cycleMisuse = defineRule({
  id: 'cycle-misuse',
  level: 'error',
  group: 'state',
  docs: {
    what: 'A fixed cycle or a probing move lacks a word it needs, or holds words that contradict each other or the state.',
    why: 'The control stops, or drills to a depth that is left over from another hole.',
    instead: 'Give each cycle its R and its depth in its first block, with the spindle turning and without G93, G41 and G42.',
  },
  bad: [
    {
      title: 'no level R',
      program: `
N10 G90 G17 M3 S1000 F100
N20 G81 X10. Z-5.
    ^^^ error cycle-misuse: needs R
`,
    },
    {
      title: 'the cycle begins below its bottom',
      program: `
N10 G90 G17 M3 S1000 F100
N20 G81 X10. Z-5. R-6.
                  ^^^^ error cycle-misuse: below its bottom
`,
    },
    {
      title: 'pecks without their depth',
      program: `
N10 G90 G17 M3 S1000 F100
N20 G83 X10. Z-5. R2.
    ^^^ error cycle-misuse: Q
`,
    },
  ],
  good: [{
    title: 'words stay in force from hole to hole',
    program: `
N10 G90 G17 M3 S1000 F100
N20 G83 X10. Z-5. R2. Q1.
N30 X20.
N40 G80
`,
  }],
})
