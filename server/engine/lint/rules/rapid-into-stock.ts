import { defineRule } from '../rule.ts'

export const rapidIntoStock = defineRule({
  id: 'rapid-into-stock',
  level: 'error',
  group: 'contact',
  docs: {
    what: 'A rapid takes the tool, its shank or its holder into material that stands there at that moment: stock that no block before has cut away.',
    why: 'At rapid nothing cuts: the tool breaks, or the part moves in its clamps.',
    instead: 'Go clear before the rapid, or reach the place at feed. The stock is followed on rays of a stated pitch: what may stand between two rays is told as undecided, and a finer "pitch" decides it.',
  },
  bad: [{
    title: 'a rapid across a block that is not cut yet',
    setup: sheet(),
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3 M8
N40 G0 G43 H1 X-30. Y0. Z5.
N50 Z-2.
N60 X30.
    ^^^^ error rapid-into-stock: Tool 1's cutter runs more than 1 mm into the stock
N70 Z5.
`,
  }],
  good: [{
    title: 'back through the slot that has been cut',
    setup: sheet(),
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3 M8
N40 G0 G43 H1 X-30. Y0. Z5.
N50 Z-2.
N60 G1 X30. F500
N70 G0 X-30.
N80 Z5.
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
