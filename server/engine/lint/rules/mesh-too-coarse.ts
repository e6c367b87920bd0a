import { defineRule } from '../rule.ts'

export const meshTooCoarse = defineRule({
  id: 'mesh-too-coarse',
  level: 'note',
  group: 'inputs',
  docs: {
    what: 'The facets of a mesh leave the surface they stand for by more than a third of the allowed gouge.',
    why: 'The figures are exact for the mesh, but the mesh itself is not the part to that tolerance.',
    instead: 'Export the mesh with a smaller chord error, or allow more.',
  },
  bad: [{
    title: 'a cylinder of 24 facets',
    setup: `
{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "part": { "mesh": "plate.stl" },
                    ^^^^^^^^^^^ note mesh-too-coarse
  "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 30 }]
}
`,
    meshes: { 'plate.stl': { cylinder: { diameter: 40, height: 10, facets: 24 } } },
    program: `
N10 G21 G17 G90 G94 G40 G49 G54
N20 T1 M6
N30 G0 G43 H1 X22. Y0. Z-5.
N40 G3 I-22. F500
`,
  }],
  good: [{
    title: 'a closed box of sound triangles',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } } },
    program: `
N10 G21 G17 G90 G94 G40 G49 G54
N20 T1 M6
N30 G0 G43 H1 X22. Y0. Z-5.
N40 G3 I-22. F500
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
