import { defineRule } from '../rule.ts'

export const fluteTooShort = defineRule({
  id: 'flute-too-short',
  level: 'error',
  group: 'contact',
  docs: {
    what: 'Material is met above the cutting length LCF: by what goes on behind the flutes and is as wide as they are. A neck or shank that is slimmer or that is met beside the flutes is told as neck-contact or shank-contact.',
    why: 'The shank rubs and pushes where nothing cuts: heat, a broken tool, a bent wall.',
    instead: 'Cut in more steps, each no deeper than the flutes, or take a tool with longer ones.',
  },
  bad: [{
    title: 'a slot 15 deep with flutes of 12',
    setup: sheet(),
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3 M8
N40 G0 G43 H1 X-30. Y0. Z5.
N50 Z-15.
N60 G1 X30. F500
    ^^^^^^^^^^^^ error flute-too-short: Tool 1's shank meets material above the cutting length
N70 G0 Z5.
`,
  }],
  good: [{
    title: 'in two steps',
    setup: sheet('"shank": { "DCONMS": 9 }, '),
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3 M8
N40 G0 G43 H1 X-30. Y0. Z5.
N50 Z-8.
N60 G1 X30. F500
N70 Z-15.
N80 X-30.
N90 G0 Z5.
`,
  }],
})

function sheet(shank = ''): string {
  return `{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "stock": { "box": { "min": [-20, -20, -20], "max": [20, 20, 0] }, "pitch": 0.2 },
  "tools": [{ "number": 1, "name": "flat 10", "cutter": { "shape": "flat", "DC": 10, "LCF": 12 }, ${shank}"LPR": 30, "holder": [{ "diameter": 30, "length": 30 }] }]
}`
}
