import { defineRule } from '../rule.ts'

export const rapidClearance = defineRule({
  id: 'rapid-clearance',
  level: 'warning',
  group: 'contact',
  docs: {
    what: 'In a rapid (G0), a component comes nearer to the part than the sheet asks (`limits.clearance.rapid`), without touching. While a rapid leaves the cut, its first stretch, twice that clearance long, does not count for the cutter.',
    why: 'At the rates of a rapid, machine and control round corners and axes do not arrive together: the real path is not quite the programmed one.',
    instead: 'Keep the rapid further away, or approach the last stretch at a feed.',
  },
  bad: [{
    title: 'half a millimetre above the surface; 1 mm is asked for',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X-10. Y0. Z5.
N50 G0 Z.5
    ^^^^^^ warning rapid-clearance
N60 Z5.
`,
  }],
  good: [{
    title: 'a rapid may leave the cut from the surface',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X-10. Y0. Z5.
N50 G1 Z0. F400.
N60 X10.
N70 G0 Z5.
`,
  }, {
    title: 'the rapid stays 2 mm above',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X-10. Y0. Z5.
N50 G0 Z2.
N60 X10.
`,
  }],
})

function sheet(): string {
  return `{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "part": { "mesh": "plate.stl" },
  "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 30 }]
}`
}
