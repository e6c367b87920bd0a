import { defineRule } from '../rule.ts'

export const rotationNearPart = defineRule({
  id: 'rotation-near-part',
  level: 'error',
  group: 'motion',
  isSearched: true,
  docs: {
    what: 'A rotary axis turns in a rapid, or in a block that moves nothing else, while a component of the tool is nearer to the part than `limits.clearance.rapid`, or than its own clearance where that is larger. Touching is told by `rapid-into-part`, `gouge` and the contact rules. A feed block with rotary words alone in which the cutter works at the surface it is to leave is a cut, and not meant.',
    why: 'A turning table swings the part round the tool, and the ways grow with the distance from the axis: what is near at one angle can be inside at the next. A rapid does not hold its path to a fraction of a millimetre, and clamps let go and grip while the axis is indexed.',
    instead: 'Retract first, along the tool axis out of an undercut, then to a height that is clear at every angle; turn there, and approach again.',
  },
  bad: [{
    title: 'the table is indexed with the ball half a millimetre above the face',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X0. Y0. Z5.
N50 G1 Z.5 F400.
N60 G0 C90.
    ^^^^^^^ error rotation-near-part: of the part while C turns; a rotary axis is to turn 1.000 mm or more away from it
N70 Z50.
`,
  }, {
    title: 'the same at feed, with the rotary word alone',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X0. Y0. Z5.
N50 G1 Z.5 F400.
N60 C90. F2000.
    ^^^^^^^^^^^ error rotation-near-part
N70 G0 Z50.
`,
  }],
  good: [{
    title: 'the tool is clear before the table turns',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X0. Y0. Z5.
N50 G1 Z.5 F400.
N60 G0 Z50.
N70 C90.
`,
  }, {
    title: 'a groove that the turning table cuts',
    setup: sheet(),
    meshes: { 'plate.stl': { plate: { size: 40, thickness: 10 } } },
    program: `
N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54
N30 S8000 M3
N40 G0 G43 H1 X10. Y0. Z5.
N50 G1 Z0. F400.
N60 C90. F2000.
N70 G0 Z50.
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
