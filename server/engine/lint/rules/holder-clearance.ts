import { defineRule } from '../rule.ts'

export const holderClearance = defineRule({
  id: 'holder-clearance',
  level: 'warning',
  group: 'contact',
  docs: {
    what: 'The tool holder comes nearer to the part than the sheet asks (`limits.clearance.holder`), without touching.',
    why: 'Chips, coolant hoses and a part that is not quite where it should be need room.',
    instead: 'Tilt the tool away, use more stick-out, or lower the limit where the gap is wanted.',
  },
  bad: [{
    title: 'a holder of 20 mm, 10.6 mm from the wall: a gap of 0.6 mm',
    setup: sheet(),
    meshes: { 'wall.stl': { box: { min: [10, -20, 5], max: [30, 20, 30] } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X-20. Y0. Z20.
N50 G1 Z0. F200
N60 X-.6
    ^^^^ warning holder-clearance
`,
  }],
  good: [{
    title: 'well away from the wall',
    setup: sheet(),
    meshes: { 'wall.stl': { box: { min: [10, -20, 5], max: [30, 20, 30] } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X-20. Y0. Z20.
N50 G1 Z0. F200
N60 X-20.
N70 G0 Z20.
`,
  }],
})

function sheet(): string {
  return `{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "part": { "mesh": "wall.stl" },
  "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 20, "holder": [{ "diameter": 20, "length": 30 }] }]
}`
}
