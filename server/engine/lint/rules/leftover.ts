import { defineRule } from '../rule.ts'

export const leftover = defineRule({
  id: 'leftover',
  level: 'warning',
  group: 'result',
  docs: {
    what: 'Material stands on the part above the limit after the last block: patches of it, each with place, tallest height and area. Looked for where the sheet states "leftover" or the stock.',
    why: 'The part does not come off the machine finished: a strip was skipped, a corner is too narrow for the tool, or an edit has raised the tool.',
    instead: 'Close the gap between the passes, use a smaller tool in the corner, or raise "leftover" where the material is meant to stay.',
  },
  bad: [{
    title: 'a strip of 4 mm between two passes is skipped',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 20, thickness: 5 } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X-10. Y-16. Z20.
N50 G1 Z0. F500
N60 Y16.
N70 X-4.
N80 Y-16.
N90 X8.
N100 Y16.
     ^^^^ warning leftover: stands up to 2.000 mm high over 80 mm² of the part
N110 G0 Z20.
`,
  }],
  good: [{
    title: 'the whole face is cut',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 20, thickness: 5 } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X-10. Y-16. Z20.
N50 G1 Z0. F500
N60 Y16.
N70 X-4.
N80 Y-16.
N90 X2.
N100 Y16.
N110 X8.
N120 Y-16.
N130 G0 Z20.
`,
  }],
})

function sheet(): string {
  return `{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "part": { "mesh": "plate.stl" },
  "stock": { "box": { "min": [-10, -10, -5], "max": [10, 10, 2] } },
  "tools": [{ "number": 1, "name": "flat 8", "cutter": { "shape": "flat", "DC": 8, "LCF": 10 }, "LPR": 30 }]
}`
}
