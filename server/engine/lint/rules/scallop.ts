import { defineRule } from '../rule.ts'

export const scallop = defineRule({
  id: 'scallop',
  level: 'note',
  group: 'result',
  docs: {
    what: 'Ridges between neighbouring passes stand above the limit: narrow material, with surface within its limit on both sides, nearer than the step of the cutter that leaves such a ridge. All ridges of one tool under one limit are told once.',
    why: 'The surface is rougher than asked for, and somebody will polish it by hand.',
    instead: 'Take a smaller step: a ball of radius R leaves ridges of h with a step of 2 √(2Rh − h²). Or raise "leftover".',
  },
  bad: [{
    title: 'a ball of 10 mm with a step of 3 mm',
    setup: sheet(3),
    meshes: { 'plate.stl': { plate: { size: 6, thickness: 5 } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X-4.5 Y-8. Z20.
N50 G1 Z0. F500
N60 Y8.
N70 X-1.5
N80 Y-8.
    ^^^^ note scallop: Ridges up to 0.22
N90 X1.5
N100 Y8.
N110 X4.5
N120 Y-8.
N130 G0 Z20.
`,
  }],
  good: [{
    title: 'a step of 1 mm',
    setup: sheet(1),
    meshes: { 'plate.stl': { plate: { size: 2, thickness: 5 } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X-1. Y-8. Z20.
N50 G1 Z0. F500
N60 Y8.
N70 X0.
N80 Y-8.
N90 X1.
N100 Y8.
N110 G0 Z20.
`,
  }],
})

function sheet(half: number): string {
  return `{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "part": { "mesh": "plate.stl" },
  "stock": { "box": { "min": [-${half}, -${half}, -5], "max": [${half}, ${half}, 1] } },
  "limits": { "leftover": 0.05 },
  "tools": [{ "number": 1, "name": "ball 10", "cutter": { "shape": "ball", "DC": 10, "LCF": 12 }, "LPR": 30 }]
}`
}
