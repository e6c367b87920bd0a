import { defineRule } from '../rule.ts'

export const startsInside = defineRule({
  id: 'starts-inside',
  level: 'error',
  group: 'contact',
  docs: {
    what: 'A pass begins with a component of the tool inside the part.',
    why: 'Inside the part nothing is touched, so contact could be missed; and in truth the tool cannot be there.',
    instead: 'Check the work offset, the tool length and where the part lies.',
  },
  bad: [{
    title: 'the mesh is a block so tall that the tool stands in it from the first',
    setup: sheet(),
    meshes: { 'plate.stl': { box: { min: [-20, -20, -10], max: [20, 20, 700] } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X0. Y0. Z300.
    ^^^^^^^^^^^^^^^^^^^^^^^ error starts-inside
`,
  }],
  good: [{
    title: 'it sets out above',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X0. Y0. Z5.
N50 G1 Z0.005 F200
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
