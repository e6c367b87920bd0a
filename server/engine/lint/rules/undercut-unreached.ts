import { defineRule } from '../rule.ts'

export const undercutUnreached = defineRule({
  id: 'undercut-unreached',
  level: 'note',
  group: 'result',
  docs: {
    what: 'No pass comes near a part of the mesh: along its normal, no cutter in any feed move is met within 3 mm. Where the sheet states the stock, only where some of it stands there.',
    why: 'An undercut, a face of another set-up, or a pass that an edit has taken out: whatever stands there stays.',
    instead: 'Reach it with a leaned or a lollipop cutter, machine it in another set-up, or accept it with a reason.',
  },
  bad: [{
    title: 'only the upper face is machined',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 10, thickness: 5 } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X-4. Y-12. Z20.
N50 G1 Z0. F500
N60 Y12.
N70 X4.
N80 Y-12.
    ^^^^^ note undercut-unreached: 300 mm² of the part
N90 G0 Z20.
`,
  }],
  good: [{
    title: 'there is no stock but over the upper face',
    setup: sheet('"stock": { "box": { "min": [-5, -5, -5], "max": [5, 5, 2] } },'),
    meshes: { 'plate.stl': { plate: { size: 10, thickness: 5 } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X-4. Y-12. Z20.
N50 G1 Z0. F500
N60 Y12.
N70 X4.
N80 Y-12.
N90 G0 Z20.
`,
  }],
})

function sheet(stock = ''): string {
  return `{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "part": { "mesh": "plate.stl" },
  "limits": { "leftover": 0.05 },${stock === '' ? '' : `\n  ${stock}`}
  "tools": [{ "number": 1, "name": "flat 8", "cutter": { "shape": "flat", "DC": 8, "LCF": 10 }, "LPR": 30 }]
}`
}
