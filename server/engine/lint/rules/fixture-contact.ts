import { defineRule } from '../rule.ts'

export const fixtureContact = defineRule({
  id: 'fixture-contact',
  level: 'error',
  group: 'contact',
  docs: {
    what: 'Cutter, neck, shank or holder runs into a fixture, at feed or at rapid.',
    why: 'Clamps and jaws are steel: the tool breaks, the part comes loose, or the spindle is damaged.',
    instead: 'Go round or above the fixture, use more stick-out or a slimmer holder, or clamp elsewhere.',
  },
  bad: [{
    title: 'the holder, 20 mm thick, meets a jaw that stands 25 mm high',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } }, 'jaw.stl': { box: { min: [30, -20, -10], max: [50, 20, 25] } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X0. Y0. Z40.
N50 G1 Z1. F200
N60 X21.5
    ^^^^^ error fixture-contact: runs 1.501 mm (± 0.001 mm) into the fixture "vice jaw"
`,
  }, {
    title: 'a rapid through the jaw',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } }, 'jaw.stl': { box: { min: [30, -20, -10], max: [50, 20, 10] } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X0. Y0. Z40.
N50 Z5.
N60 X60.
    ^^^^ error fixture-contact: at rapid
N70 Z40.
`,
  }],
  good: [{
    title: 'above it',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } }, 'jaw.stl': { box: { min: [30, -20, -10], max: [50, 20, 10] } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X0. Y0. Z40.
N50 X40.
N60 G1 Z15. F200
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
