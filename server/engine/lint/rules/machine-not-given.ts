import { defineRule } from '../rule.ts'

export const machineNotGiven = defineRule({
  id: 'machine-not-given',
  level: 'note',
  group: 'inputs',
  docs: {
    what: 'The setup sheet names no machine file: the built-in table-table machine is taken.',
    why: 'Travel limits, axis rates and the way the rotary axes turn are then those of another machine.',
    instead: 'Describe your machine in a `*.machine.json` and name it in the sheet.',
  },
  bad: [{
    title: 'a sheet without a machine',
    setup: `
{
^ note machine-not-given
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150 } },
  "tools": []
}
`,
    program: `
N10 G21 G17 G90 G94 G40 G49 G54
N20 T1 M6
N30 G0 G43 H1 X0. Y0. Z5.
`,
  }],
  good: [{
    title: 'with a machine file',
    setup: `
{
  "machine": "example.machine.json",
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150 } },
  "tools": []
}
`,
    machine: threeAxes(),
    program: `
N10 G21 G17 G90 G94 G40 G49 G54
N20 T1 M6
N30 G0 G43 H1 X0. Y0. Z5.
`,
  }],
})

function threeAxes(): string {
  return `{
  "name": "three axes",
  "axes": {
    "X": { "kind": "linear", "direction": [1, 0, 0], "range": [-300, 300] },
    "Y": { "kind": "linear", "direction": [0, 1, 0], "range": [-300, 300] },
    "Z": { "kind": "linear", "direction": [0, 0, 1], "range": [-300, 500] }
  },
  "table": [],
  "head": ["X", "Y", "Z"],
  "spindle": { "gauge": [0, 0, 0], "axis": [0, 0, 1] }
}`
}
