import { defineRule } from '../rule.ts'

export const plungeWithoutCentreEdge = defineRule({
  id: 'plunge-without-centre-edge',
  level: 'error',
  group: 'motion',
  isSearched: true,
  docs: {
    what: 'A tool with "centreCutting": false is fed along its axis into material that stands under its middle.',
    why: 'Such a cutter leaves a core and then stands on it: it burns, chips, or lifts the part.',
    instead: 'Go in by a ramp or a helix, into a drilled hole, or from the side; or take a tool that cuts at its middle.',
  },
  bad: [{
    title: 'straight down into the block',
    setup: sheet(),
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3 M8
N40 G0 G43 H1 X0. Y0. Z5.
N50 G1 Z-3. F100
    ^^^^^^^^^^^^ error plunge-without-centre-edge: Tool 1 goes along its axis
N60 G0 Z5.
`,
  }],
  good: [{
    title: 'beside the block, and then into it',
    setup: sheet(),
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3 M8
N40 G0 G43 H1 X-30. Y0. Z5.
N50 G1 Z-3. F100
N60 X0.
N70 G0 Z5.
`,
  }],
})

function sheet(): string {
  return `{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "stock": { "box": { "min": [-20, -20, -20], "max": [20, 20, 0] }, "pitch": 0.2 },
  "tools": [{ "number": 1, "name": "flat 10", "cutter": { "shape": "flat", "DC": 10, "LCF": 12 }, "LPR": 30, "holder": [{ "diameter": 30, "length": 30 }], "centreCutting": false }]
}`
}
