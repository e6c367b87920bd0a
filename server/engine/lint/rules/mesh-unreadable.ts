import { defineRule } from '../rule.ts'

export const meshUnreadable = defineRule({
  id: 'mesh-unreadable',
  level: 'error',
  group: 'inputs',
  docs: {
    what: 'A mesh file is not there or cannot be read as STL, PLY, OBJ, 3MF or glTF.',
    why: 'Contact with that mesh is not checked at all.',
    instead: 'Correct the path in the setup sheet, or export the mesh again.',
  },
  bad: [{
    title: 'the file holds something else',
    setup: `
{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "part": { "mesh": "plate.stl" },
                    ^^^^^^^^^^^ error mesh-unreadable
  "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 30 }]
}
`,
    meshes: { 'plate.stl': { stl: 'this is no mesh' } },
    program: `
N10 G21 G17 G90 G94 G40 G49 G54
N20 T1 M6
N30 G0 G43 H1 X0. Y0. Z5.
`,
  }],
  good: [{
    title: 'a mesh in text form',
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
