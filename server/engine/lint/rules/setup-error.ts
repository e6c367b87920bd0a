import { defineRule } from '../rule.ts'

export const setupError = defineRule({
  id: 'setup-error',
  level: 'error',
  group: 'inputs',
  docs: {
    what: 'The setup sheet or the machine file cannot be used as it is written: JSON that does not parse, a key that is not known, a value that is not possible.',
    why: 'What the sheet was meant to say is not known, so what follows from it is not checked.',
    instead: 'Correct the place that is marked; the message names the nearest key or the values that are possible.',
  },
  bad: [{
    title: 'a misspelt key',
    setup: `
{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150 } },
  "tool": []
  ^^^^^^ error setup-error: tools
}
`,
    program: `
N10 G21 G17 G90 G94 G40 G49 G54
N20 T1 M6
N30 G0 G43 H1 X0. Y0. Z5.
`,
  }],
  good: [{
    title: 'comments and trailing commas are allowed',
    setup: `
{
  // the zero of the vice
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, }, },
  "tools": [],
}
`,
    program: `
N10 G21 G17 G90 G94 G40 G49 G54
N20 T1 M6
N30 G0 G43 H1 X0. Y0. Z5.
`,
  }],
})
