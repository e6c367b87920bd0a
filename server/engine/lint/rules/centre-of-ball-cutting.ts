import { defineRule } from '../rule.ts'

export const centreOfBallCutting = defineRule({
  id: 'centre-of-ball-cutting',
  level: 'note',
  group: 'motion',
  isSearched: true,
  docs: {
    what: 'The very tip of a ball cutter is in the cut.',
    why: 'There the cutting speed is nil, whatever the spindle does: the material is squeezed, the surface is torn, the tip wears.',
    instead: 'Lean the tool by 10 to 20 degrees, so that the ball cuts beside its middle (common practice: 15).',
  },
  bad: [{
    title: 'a groove with the axis upright',
    setup: sheet(),
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3 M8
N40 G0 G43 H1 X-30. Y0. Z5.
N50 G1 Z-1. F500
N60 X30.
    ^^^^ note centre-of-ball-cutting
N70 G0 Z5.
`,
  }],
  good: [{
    title: 'along the edge of the block, where the ball cuts with its side',
    setup: sheet(),
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3 M8
N40 G0 G43 H1 X-30. Y23. Z5.
N50 G1 Z-6. F500
N60 X30.
N70 G0 Z5.
`,
  }],
})

function sheet(): string {
  return `{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "stock": { "box": { "min": [-20, -20, -20], "max": [20, 20, 0] }, "pitch": 0.2 },
  "tools": [{ "number": 1, "name": "ball 10", "cutter": { "shape": "ball", "DC": 10, "LCF": 12 }, "LPR": 30, "holder": [{ "diameter": 30, "length": 30 }] }]
}`
}
