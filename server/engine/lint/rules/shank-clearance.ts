import { defineRule } from '../rule.ts'

export const shankClearance = defineRule({
  id: 'shank-clearance',
  level: 'warning',
  group: 'contact',
  docs: {
    what: 'The shank comes nearer to the part than the sheet asks (`limits.clearance.shank`), without touching.',
    why: 'Tool and machine bend and the part is never quite where it should be: a gap of next to nothing is contact at the machine.',
    instead: 'Tilt the tool away, or lower the limit where the gap is wanted.',
  },
  bad: [{
    title: 'a shank of 6 mm, 3.1 mm from the wall: a gap of 0.1 mm',
    setup: sheet(),
    meshes: { 'wall.stl': { box: { min: [10, -20, 8], max: [30, 20, 15] } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X0. Y0. Z20.
N50 G1 Z0. F200
N60 X6.9
    ^^^^ warning shank-clearance
`,
  }],
  good: [{
    title: 'well away from the wall',
    setup: sheet(),
    meshes: { 'wall.stl': { box: { min: [10, -20, 8], max: [30, 20, 15] } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X0. Y0. Z20.
N50 G1 Z0. F200
N60 X0.
N70 G0 Z20.
`,
  }],
})

function sheet(): string {
  return `{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "part": { "mesh": "wall.stl" },
  "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "shank": { "DCONMS": 6 }, "LPR": 30 }]
}`
}
