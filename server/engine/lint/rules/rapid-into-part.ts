import { defineRule } from '../rule.ts'

export const rapidIntoPart = defineRule({
  id: 'rapid-into-part',
  level: 'error',
  group: 'contact',
  docs: {
    what: 'A rapid (G0) runs neck, shank or holder into the part, or the cutter deeper than a cut may go (`limits.gouge`). A rapid that leaves a gouge no deeper than the feed move before it went in is told there.',
    why: 'Rapids are not meant to cut: tool, spindle and part take the full rate of the machine.',
    instead: 'Retract first, or make the move a feed move if it is meant to cut.',
  },
  bad: [{
    title: 'the rapid goes 2 mm below the surface',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X-10. Y0. Z5.
N50 G0 Z-2.
    ^^^^^^^ error rapid-into-part
N60 Z5.
`,
  }],
  good: [{
    title: 'the rapid stays 2 mm above',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X-10. Y0. Z5.
N50 G0 Z2.
N60 X10.
`,
  }],
})

function sheet(): string {
  return `{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "part": { "mesh": "plate.stl" },
  "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 30 }]
}`
}
