import { defineRule } from '../rule.ts'

export const meshOpen = defineRule({
  id: 'mesh-open',
  level: 'warning',
  group: 'inputs',
  docs: {
    what: 'A mesh has holes: edges that belong to one triangle only.',
    why: 'Inside and outside cannot be told for certain, so a component wholly inside the part may go unnoticed; contact with the surface itself is still found.',
    instead: 'Close the mesh, or use it as it is where the holes are far from the tool.',
  },
  bad: [{
    title: 'the box lacks a triangle',
    setup: `
{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "part": { "mesh": "plate.stl" },
                    ^^^^^^^^^^^ warning mesh-open: 3
  "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 30 }]
}
`,
    meshes: { 'plate.stl': { box: { min: [-20, -20, -10], max: [20, 20, 0] }, fault: 'open' } },
    program: `
N10 G21 G17 G90 G94 G40 G49 G54
N20 T1 M6
N30 G0 G43 H1 X0. Y0. Z5.
`,
  }],
  good: [{
    title: 'a closed box of sound triangles',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } } },
    program: `
N10 G21 G17 G90 G94 G40 G49 G54
N20 T1 M6
N30 G0 G43 H1 X0. Y0. Z5.
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
