import { defineRule } from '../rule.ts'

export const arcNearHalfTurn = defineRule({
  id: 'arc-near-half-turn',
  level: 'warning',
  group: 'state',
  docs: {
    what: 'An arc given by its radius R turns close to 180°.',
    why: 'Near a half turn the last digit of R moves the centre, and with it the path, a long way.',
    instead: 'Give the centre with I, J, K instead of R.',
  },
  bad: [{
    title: '179° by R',
    program: `
N10 G21 G17 G90 G0 X0. Y0.
N20 G2 X20. Y0. R10.001 F200
                ^^^^^^^ warning arc-near-half-turn: R
`,
  }],
  good: [{
    title: 'the same arc by its centre, and a quarter turn by R',
    program: `
N10 G21 G17 G90 G0 X0. Y0.
N20 G2 X20. Y0. I10. J0. F200
N30 G2 X30. Y-10. R10.
`,
  }],
})
