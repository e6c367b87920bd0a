import { defineRule } from '../rule.ts'

export const modalConflict = defineRule({
  id: 'modal-conflict',
  level: 'error',
  group: 'text',
  docs: {
    what: 'Two codes of one modal group stand in a block, or two codes that both take its axis words.',
    why: 'Only one of them can hold. Controls stop, or take the last one, or the first.',
    instead: 'Keep the one that is meant; give the other its own block.',
  },
  bad: [
    {
      title: 'absolute and incremental at once',
      program: `
N10 G90 G91 G0 X10.
        ^^^ error modal-conflict: G90 and G91
`,
    },
    {
      title: 'home position and set position both take the axis words',
      program: `
N10 G28 G92 X10.
        ^^^ error modal-conflict: axis words
`,
    },
  ],
  good: [{
    title: 'codes of different groups',
    program: `
N10 G90 G94 G17 G0 X10.
`,
  }],
})
