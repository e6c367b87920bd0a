import { defineRule } from '../rule.ts'

export const headContact = defineRule({
  id: 'head-contact',
  level: 'error',
  group: 'contact',
  docs: {
    what: 'A body of the machine that rides on the head touches the part, or the box of the stock. Nearer than 0.05 mm counts as touching.',
    why: 'The spindle head hits the part with the whole weight of the machine behind it.',
    instead: 'Use a longer tool or holder, tilt the tool the other way, or set the part up elsewhere.',
  },
  bad: [{
    title: 'the nose, 60 mm wide, beside a wall that stands higher than its lower face',
    setup: sheet(),
    machine: machine(),
    meshes: { 'wall.stl': { box: { min: [40, -20, 0], max: [60, 20, 70] } }, 'nose.stl': { box: { min: [-30, -30, 0], max: [30, 30, 80] } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X-60. Y0. Z110.
N50 G1 Z10. F2000
N60 X20.
    ^^^^ error head-contact: The machine's "spindle nose" touches the part
`,
  }],
  good: [{
    title: 'it stays on its side',
    setup: sheet(),
    machine: machine(),
    meshes: { 'wall.stl': { box: { min: [40, -20, 0], max: [60, 20, 70] } }, 'nose.stl': { box: { min: [-30, -30, 0], max: [30, 30, 80] } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X-60. Y0. Z110.
N50 G1 Z10. F2000
N60 X-20.
N70 G0 Z110.
`,
  }],
})

function sheet(): string {
  return `{
  "machine": "example.machine.json",
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 0, "A": 0, "C": 0 } },
  "part": { "mesh": "wall.stl" },
  "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 20, "holder": [{ "diameter": 20, "length": 30 }] }]
}`
}

function machine(): string {
  return `{
  "name": "table-table, A under C",
  "axes": {
    "X": { "kind": "linear", "direction": [1, 0, 0], "range": [-300, 300] },
    "Y": { "kind": "linear", "direction": [0, 1, 0], "range": [-300, 300] },
    "Z": { "kind": "linear", "direction": [0, 0, 1], "range": [-300, 500] },
    "A": { "kind": "rotary", "direction": [-1, 0, 0], "through": [0, 0, -50], "range": [-110, 110] },
    "C": { "kind": "rotary", "direction": [0, 0, -1], "through": [0, 0, 0], "range": null }
  },
  "table": ["A", "C"],
  "head": ["X", "Y", "Z"],
  "home": { "X": 0, "Y": 0, "Z": 300, "A": 0, "C": 0 },
  "bodies": [{ "name": "spindle nose", "on": "Z", "mesh": "nose.stl" }]
}`
}
