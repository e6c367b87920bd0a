import { defineRule } from '../rule.ts'

export const meshInsideOut = defineRule({
  id: 'mesh-inside-out',
  level: 'warning',
  group: 'inputs',
  docs: {
    what: 'The triangles of a mesh face inward.',
    why: 'Depths and clearances come out the same; what is left standing on the part would be measured to the wrong side of its surface.',
    instead: 'Flip the triangles in the program that made the mesh.',
  },
  bad: [{
    title: 'every triangle is turned over',
    setup: `
{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "part": { "mesh": "plate.stl" },
                    ^^^^^^^^^^^ warning mesh-inside-out
  "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 30 }]
}
`,
    meshes: { 'plate.stl': { box: { min: [-20, -20, -10], max: [20, 20, 0] }, fault: 'inside-out' } },
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
