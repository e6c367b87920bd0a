import { defineRule } from '../rule.ts'

export const arcWithoutCentre = defineRule({
  id: 'arc-without-centre',
  level: 'error',
  group: 'state',
  docs: {
    what: 'An arc has no centre: neither I, J, K nor R, an R too small to reach the end, or R on a full circle.',
    why: 'The control stops with an alarm; a control that does not would move straight through the arc.',
    instead: 'Give the centre, or an R of at least half the distance between the ends.',
  },
  bad: [
    {
      title: 'neither centre nor radius',
      program: `
N10 G21 G17 G90 G0 X0. Y0.
N20 G2 X20. Y0. F200
^^^^^^^^^^^^^^^^^^^^ error arc-without-centre
`,
    },
    {
      title: 'no circle of radius 5 goes through points 20 apart',
      program: `
N10 G21 G17 G90 G0 X0. Y0.
N20 G2 X20. Y0. R5. F200
                ^^^ error arc-without-centre: 20 mm
`,
    },
  ],
  good: [{
    title: 'a full circle by its centre',
    program: `
N10 G21 G17 G90 G0 X0. Y0.
N20 G2 I10. F200
`,
  }],
})
