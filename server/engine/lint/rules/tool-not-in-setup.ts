import { defineRule } from '../rule.ts'

export const toolNotInSetup = defineRule({
  id: 'tool-not-in-setup',
  level: 'error',
  group: 'state',
  docs: {
    what: 'The program changes to a tool that the setup sheet does not describe.',
    why: 'Nothing can be said about contact, lengths or speeds while that tool is in the spindle.',
    instead: 'Describe the tool in the setup sheet, or correct the T word.',
  },
  bad: [{
    title: 'T3 is not in the sheet',
    setup: oneTool(),
    program: `
N10 T3 M6
    ^^ error tool-not-in-setup: T1
N20 G0 X0.
`,
  }],
  good: [{
    title: 'the tool of the sheet; T0 empties the spindle',
    setup: oneTool(),
    program: `
N10 T1 M6
N20 T0 M6
`,
  }],
})

function oneTool(): string {
  return `{
  "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 30 }]
}`
}
