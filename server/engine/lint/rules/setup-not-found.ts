import { defineRule } from '../rule.ts'

export const setupNotFound = defineRule({
  id: 'setup-not-found',
  level: 'note',
  group: 'inputs',
  docs: {
    what: 'No setup sheet serves this program: nothing was simulated.',
    why: 'Without the part, the tools and the machine only the text can be checked.',
    instead: 'Start one with `toolwake new-setup PROGRAM` and fill in what only people know; or write a setup sheet beside the program: one whose `programs` names it, or one with its base name and the ending `.setup.json`.',
  },
  bad: [{
    title: 'a program alone',
    program: `
N10 G0 X0. Y0.
^ note setup-not-found
`,
  }],
  good: [{
    title: 'with a sheet',
    setup: '{ "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150 } } }',
    program: `
N10 G0 X0. Y0.
`,
  }],
})
