import { defineRule } from '../rule.ts'

export const machineContact = defineRule({
  id: 'machine-contact',
  level: 'error',
  group: 'contact',
  docs: {
    what: 'Two bodies of the machine touch, or one touches a fixture, the part or the tool. Nearer than 0.05 mm counts as touching. Bodies on one axis or on neighbouring axes of a chain are joined there and are not held against each other.',
    why: 'A collision inside the machine costs the spindle, the table or the geometry of the machine.',
    instead: 'Turn or move the axes in another order, set the part up elsewhere, or use a longer tool.',
  },
  bad: [{
    title: 'the head runs into the arm of the cradle',
    setup: sheet(),
    machine: machine(),
    meshes: { 'wall.stl': { box: { min: [-10, -10, -20], max: [10, 10, 0] } }, 'nose.stl': { box: { min: [-30, -30, 0], max: [30, 30, 80] } }, 'arm.stl': { box: { min: [80, -60, -60], max: [100, 60, 70] } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X0. Y0. Z60.
N50 G1 Z5. F2000
N60 X65.
    ^^^^ error machine-contact: touches the machine's "cradle arm"
`,
  }],
  good: [{
    title: 'above it',
    setup: sheet(),
    machine: machine(),
    meshes: { 'wall.stl': { box: { min: [-10, -10, -20], max: [10, 10, 0] } }, 'nose.stl': { box: { min: [-30, -30, 0], max: [30, 30, 80] } }, 'arm.stl': { box: { min: [80, -60, -60], max: [100, 60, 70] } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X0. Y0. Z60.
N50 G1 Z40. F2000
N60 X65.
N70 X0.
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
  "bodies": [{ "name": "spindle nose", "on": "Z", "mesh": "nose.stl" }, { "name": "cradle arm", "on": "A", "mesh": "arm.stl" }]
}`
}
