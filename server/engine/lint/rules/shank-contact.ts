import { defineRule } from '../rule.ts'

export const shankContact = defineRule({
  id: 'shank-contact',
  level: 'error',
  group: 'contact',
  docs: {
    what: 'The shank of the tool touches the part.',
    why: 'The shank does not cut: it rubs, bends the tool and marks the part.',
    instead: 'Tilt the tool away, use more stick-out or a relieved neck.',
  },
  bad: [{
    title: 'a shank of 6 mm, 2.9 mm from the wall',
    setup: sheet(),
    meshes: { 'wall.stl': { box: { min: [10, -20, 8], max: [30, 20, 15] } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X0. Y0. Z20.
N50 G1 Z0. F200
N60 X7.1
    ^^^^ error shank-contact
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
