import { blockOn, wordsBehind } from '../fix-text.ts'
import { defineRule } from '../rule.ts'

export const coolantOff = defineRule({
  id: 'coolant-off',
  level: 'note',
  group: 'state',
  isSearched: true,
  docs: {
    what: 'A tool goes into material while neither M7 nor M8 is in force. Told once for each use of a tool.',
    why: 'Most materials want coolant or air in the cut; a tool change or M9 may have ended it unnoticed. Some are cut dry on purpose.',
    instead: 'Write M8 (or M7) before the cut, or accept the finding where it is meant.',
  },
  bad: [{
    title: 'M8 was left out',
    setup: sheet(),
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X-30. Y0. Z5.
N50 G1 Z-2. F500
N60 X30.
    ^^^^ note coolant-off
N70 G0 Z5.
`,
  }],
  good: [{
    title: 'on before the cut',
    setup: sheet(),
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3 M8
N40 G0 G43 H1 X-30. Y0. Z5.
N50 G1 Z-2. F500
N60 X30.
N70 G0 Z5.
`,
  }],
  fix: place => {
    const block = blockOn(place, place.line)
    return block === undefined ? undefined : { title: 'Switch the coolant on with M8', edits: [wordsBehind(block, 'M8')], keepsMotion: false }
  },
})

function sheet(): string {
  return `{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "stock": { "box": { "min": [-20, -20, -20], "max": [20, 20, 0] }, "pitch": 0.2 },
  "tools": [{ "number": 1, "name": "flat 10", "cutter": { "shape": "flat", "DC": 10, "LCF": 12 }, "LPR": 30, "holder": [{ "diameter": 30, "length": 30 }] }]
}`
}
