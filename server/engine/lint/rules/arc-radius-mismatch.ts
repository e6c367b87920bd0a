import { defineRule } from '../rule.ts'

export const arcRadiusMismatch = defineRule({
  id: 'arc-radius-mismatch',
  level: 'error',
  group: 'state',
  docs: {
    what: 'The centre of an arc is not equally far from its start and its end (by more than 0.002 mm or 0.0002 inch).',
    why: 'Most controls stop with an alarm; others run a spiral that nobody meant.',
    instead: 'Correct the end point or I, J, K.',
  },
  bad: [{
    title: 'the end lies 12 mm from the centre, the start 10 mm',
    program: `
N10 G21 G17 G90 G0 X0. Y0.
N20 G2 X22. Y0. I10. J0. F200
                ^^^^ error arc-radius-mismatch: 10 mm
`,
  }],
  good: [{
    title: 'a half circle',
    program: `
N10 G21 G17 G90 G0 X0. Y0.
N20 G2 X20. Y0. I10. J0. F200
`,
  }],
})
