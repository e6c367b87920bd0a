import { defineRule } from '../rule.ts'

export const dwellInCut = defineRule({
  id: 'dwell-in-cut',
  level: 'warning',
  group: 'state',
  isSearched: true,
  docs: {
    what: 'G4 lets the axes stand still where the feed move before it has ended in material. The dwell of a drilling cycle is meant and is not told.',
    why: 'The cutter turns on one spot: it rubs, the surface gets a mark, material hardens.',
    instead: 'Move the dwell to a place in air, or leave it out.',
  },
  bad: [{
    title: 'at the end of a slot',
    setup: sheet(),
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3 M8
N40 G0 G43 H1 X-30. Y0. Z5.
N50 G1 Z-2. F500
N60 X0.
N70 G4 P500
    ^^ warning dwell-in-cut: N60 ends in material
N80 G0 Z5.
`,
  }],
  good: [{
    title: 'clear of the block',
    setup: sheet(),
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3 M8
N40 G0 G43 H1 X-30. Y0. Z5.
N50 G1 Z-2. F500
N60 X30.
N70 G4 P500
N80 G0 Z5.
`,
  }],
})

function sheet(): string {
  return `{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "stock": { "box": { "min": [-20, -20, -20], "max": [20, 20, 0] }, "pitch": 0.2 },
  "tools": [{ "number": 1, "name": "flat 10", "cutter": { "shape": "flat", "DC": 10, "LCF": 12 }, "LPR": 30, "holder": [{ "diameter": 30, "length": 30 }] }]
}`
}
