import { defineRule } from '../rule.ts'

export const fixtureClearance = defineRule({
  id: 'fixture-clearance',
  level: 'warning',
  group: 'contact',
  docs: {
    what: 'A component of the tool comes nearer to a fixture than the sheet asks (`clearance` of the fixture, 2 mm where it says nothing), without touching.',
    why: 'Fixtures are seldom exactly where the sheet puts them, and clamps move when they are tightened.',
    instead: 'Keep farther away, or give the fixture a smaller `clearance` where it is known to stand there.',
  },
  bad: [{
    title: 'the holder passes the jaw at 1.5 mm',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } }, 'jaw.stl': { box: { min: [30, -20, -10], max: [50, 20, 25] } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X0. Y0. Z40.
N50 G1 Z1. F200
N60 X18.5
    ^^^^^ warning fixture-clearance: comes within 1.499 mm (± 0.001 mm) of the fixture "vice jaw"; 2.000 mm is asked for
`,
  }],
  good: [{
    title: '2.5 mm away',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } }, 'jaw.stl': { box: { min: [30, -20, -10], max: [50, 20, 25] } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X0. Y0. Z40.
N50 G1 Z1. F200
N60 X17.5
N70 G0 Z40.
`,
  }],
})

function sheet(): string {
  return `{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "part": { "mesh": "plate.stl" },
  "fixtures": [{ "name": "vice jaw", "mesh": "jaw.stl", "clearance": 2 }],
  "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 20, "holder": [{ "diameter": 20, "length": 30 }] }]
}`
}
