import { defineRule } from '../rule.ts'

export const meshUnitsDoubtful = defineRule({
  id: 'mesh-units-doubtful',
  level: 'warning',
  group: 'inputs',
  docs: {
    what: 'A mesh is about 25.4 or 1000 times larger or smaller than the path of the program, or the sheet gives it another unit than its file states.',
    why: 'STL, PLY and OBJ files do not say their unit, and those that do are not always right; a part of the wrong size makes every contact figure meaningless.',
    instead: 'Give `units` of the mesh in the setup sheet; leave it out where the file states its own (3MF, glTF).',
  },
  bad: [{
    title: 'a part of 1016 mm under a path of 40 mm',
    setup: `
{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "part": { "mesh": "plate.stl" },
                    ^^^^^^^^^^^ warning mesh-units-doubtful: times the size
  "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 30 }]
}
`,
    meshes: { 'plate.stl': { plate: { size: 1016, thickness: 254 } } },
    program: `
N10 G21 G17 G90 G94 G40 G49 G54
N20 T1 M6
N30 G0 G43 H1 X-20. Y0. Z5.
N40 G1 X20. F500
N50 Y20.
N60 X-20.
N70 Y-20.
`,
  }],
  good: [{
    title: 'a closed box of sound triangles',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } } },
    program: `
N10 G21 G17 G90 G94 G40 G49 G54
N20 T1 M6
N30 G0 G43 H1 X-20. Y0. Z5.
N40 G1 X20. F500
N50 Y20.
N60 X-20.
N70 Y-20.
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
