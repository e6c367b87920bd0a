import { defineRule } from '../rule.ts'

export const barrierCrossed = defineRule({
  id: 'barrier-crossed',
  level: 'error',
  group: 'contact',
  docs: {
    what: 'The cutter goes through a barrier of the sheet, deeper than a cut may go (`limits.gouge`), at feed or at rapid. The tool point lies on the cutter or in it, so it cannot pass the barrier unseen.',
    why: 'A barrier marks what the tool must not pass: the floor of the set-up, the way into a cavity, the side that another operation has finished.',
    instead: 'Keep the tool on its side. A barrier that holds for some tools or blocks only is named in the passes it holds for; one that no pass names holds everywhere.',
  },
  bad: [{
    title: 'beside the plate, 1.2 mm through the floor',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } }, 'floor.stl': { box: { min: [-60, -60, -6], max: [60, 60, -5] } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X40. Y0. Z5.
N50 G1 Z-6.2 F200
    ^^^^^^^^^^^^^ error barrier-crossed: goes 1.201 mm (± 0.001 mm) through the barrier "floor"; 0.010 mm is allowed
N60 G0 Z5.
`,
  }],
  good: [{
    title: 'down to it',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } }, 'floor.stl': { box: { min: [-60, -60, -6], max: [60, 60, -5] } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X40. Y0. Z5.
N50 G1 Z-5. F200
N60 G0 Z5.
`,
  }, {
    title: 'a tool that no pass holds to it',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } }, 'floor.stl': { box: { min: [-60, -60, -6], max: [60, 60, -5] } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 T2 M6
N50 S8000 M3
N60 G0 G43 H2 X40. Y0. Z5.
N70 G1 Z-6.2 F200
N80 G0 Z5.
`,
  }],
})

function sheet(): string {
  return `{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "part": { "mesh": "plate.stl" },
  "barriers": [{ "name": "floor", "mesh": "floor.stl" }],
  "passes": [{ "tools": [1], "barriers": ["floor"] }],
  "tools": [
    { "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 30 },
    { "number": 2, "name": "ball 6", "cutter": { "shape": "ball", "DC": 6, "LCF": 8 }, "LPR": 30 }
  ]
}`
}
