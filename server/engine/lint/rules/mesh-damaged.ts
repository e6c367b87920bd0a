import { defineRule } from '../rule.ts'

export const meshDamaged = defineRule({
  id: 'mesh-damaged',
  level: 'warning',
  group: 'inputs',
  docs: {
    what: 'A mesh holds triangles that cannot be used (numbers that are not numbers, no area, the same triangle twice), which are counted and left out; or edges where its surface meets itself.',
    why: 'A triangle without area takes nothing away from the checks; one whose numbers are lost leaves a gap, and nothing is checked there. Where the surface meets itself, inside and outside cannot be told for certain.',
    instead: 'Repair the mesh, or export it again.',
  },
  bad: [{
    title: 'a triangle without area',
    setup: `
{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "part": { "mesh": "plate.stl" },
                    ^^^^^^^^^^^ warning mesh-damaged: 1
  "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 30 }]
}
`,
    meshes: { 'plate.stl': { box: { min: [-20, -20, -10], max: [20, 20, 0] }, fault: 'degenerate' } },
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
