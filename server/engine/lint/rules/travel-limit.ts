import { defineRule } from '../rule.ts'

export const travelLimit = defineRule({
  id: 'travel-limit',
  level: 'error',
  group: 'motion',
  docs: {
    what: 'A joint leaves its travel somewhere along a motion, also on the way between two points that are inside.',
    why: 'The machine stops in the middle of the cut, or refuses to start; with tool-centre control the linear axes go to places that stand nowhere in the text.',
    instead: 'Lie the part otherwise, use another rotary position, or correct the range in the machine file.',
  },
  bad: [
    {
      title: 'X300. is the end of the built-in machine',
      setup: sheet(),
      program: `
N10 G21 G90 G54 G0 X290. Y0.
N20 G0 X310.
       ^^^^^ error travel-limit: 310 mm
`,
    },
    {
      title: 'the wrong side of the tilting axis',
      setup: sheet(),
      program: `
N10 G21 G90 G54 G0 A0. C0.
N20 G0 A40.
       ^^^^ error travel-limit: 40°
`,
    },
  ],
  good: [{
    title: 'up to the end',
    setup: sheet(),
    program: `
N10 G21 G90 G54 G0 X300. Y0. A30.
`,
  }],
})

function sheet(): string {
  return '{ "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } } }'
}
