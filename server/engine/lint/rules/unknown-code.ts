import { defineRule } from '../rule.ts'

export const unknownCode = defineRule({
  id: 'unknown-code',
  level: 'warning',
  group: 'text',
  docs: {
    what: 'A G or M code is neither in the standard nor in the machine file.',
    why: 'What it does at the machine is not simulated: motion is followed as if it were not there.',
    instead: 'Correct the code, or say in the machine file what it does (`control.define`, `control.neutral`).',
  },
  bad: [{
    title: 'a code nobody has described',
    program: `
N10 G0 X0. M777
           ^^^^ warning unknown-code: M777
`,
  }],
  good: [{
    title: 'described in the machine file',
    setup: '{ "machine": "example.machine.json", "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150 } } }',
    machine: clampMachine(),
    program: `
N10 G0 X0. M777
`,
  }],
})

function clampMachine(): string {
  return `{
  "name": "three axes",
  "axes": {
    "X": { "kind": "linear", "direction": [1, 0, 0], "range": [-300, 300] },
    "Y": { "kind": "linear", "direction": [0, 1, 0], "range": [-300, 300] },
    "Z": { "kind": "linear", "direction": [0, 0, 1], "range": [-300, 500] }
  },
  "table": [],
  "head": ["X", "Y", "Z"],
  "spindle": { "gauge": [0, 0, 0], "axis": [0, 0, 1] },
  "control": { "define": { "M777": { "says": "air blast on", "effect": "none" } } }
}`
}
