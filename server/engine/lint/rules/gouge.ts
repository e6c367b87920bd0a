import { defineRule } from '../rule.ts'

export const gouge = defineRule({
  id: 'gouge',
  level: 'error',
  group: 'contact',
  docs: {
    what: 'The cutter goes deeper below the part\'s surface than the sheet allows (`limits.gouge`).',
    why: 'What is cut away is gone: the part is undersize there.',
    instead: 'Raise the tool point, tilt the tool, or use a smaller cutter; where the depth is wanted, allow it for that pass.',
  },
  bad: [{
    title: '0.03 mm below the surface, 0.01 mm is allowed',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X-10. Y0. Z5.
N50 G1 Z-.03 F200
    ^^^^^^^^^^^^^ error gouge
N60 G0 Z5.
`,
  }],
  good: [{
    title: 'half of what is allowed',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X-10. Y0. Z5.
N50 G1 Z-.005 F200
N60 X10.
N70 G0 Z5.
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
