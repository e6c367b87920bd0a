import { defineRule } from '../rule.ts'

export const radiusCompensationMisuse = defineRule({
  id: 'radius-compensation-misuse',
  level: 'error',
  group: 'state',
  docs: {
    what: 'Radius compensation begins, ends or goes on in a way the control does not take: an entry shorter than the radius, an inside corner the tool does not fit into, a change of plane, offset or rotary position while it is on.',
    why: 'The control stops, or the tool cuts into the contour.',
    instead: 'Enter and leave on straight moves longer than the radius, and change planes, offsets and rotary axes behind G40.',
  },
  bad: [
    {
      title: 'the tool already stands in the contour',
      setup: `{ "tools": [{ "number": 1, "name": "end mill 4", "cutter": { "shape": "flat", "DC": 4, "LCF": 10 }, "LPR": 40, "holder": [{ "diameter": 20, "length": 30 }] }] }`,
      program: `
N10 G90 G17 T1 M6
N20 G0 X0. Y0.
N30 G41 D1 G1 X1. F100
^^^^^^^^^^^^^^^^^^^^^^ error radius-compensation-misuse: radius of 2 mm
`,
    },
    {
      title: 'the plane changes',
      setup: `{ "tools": [{ "number": 1, "name": "end mill 4", "cutter": { "shape": "flat", "DC": 4, "LCF": 10 }, "LPR": 40, "holder": [{ "diameter": 20, "length": 30 }] }] }`,
      program: `
N10 G90 G17 T1 M6
N20 G0 X0. Y0.
N30 G41 D1 G1 X10. F100
N40 G18
    ^^^ error radius-compensation-misuse: changes the plane
`,
    },
  ],
  good: [{
    title: 'along a corner and off',
    setup: `{ "tools": [{ "number": 1, "name": "end mill 4", "cutter": { "shape": "flat", "DC": 4, "LCF": 10 }, "LPR": 40, "holder": [{ "diameter": 20, "length": 30 }] }] }`,
    program: `
N10 G90 G17 T1 M6
N20 G0 X0. Y-10.
N30 G41 D1 G1 X10. Y0. F100
N40 Y10.
N50 X20.
N60 G40 Y30.
`,
  }],
})
