import { defineRule } from '../rule.ts'

export const callTooDeep = defineRule({
  id: 'call-too-deep',
  level: 'error',
  group: 'text',
  docs: {
    what: 'Calls stand deeper in each other than the control takes.',
    why: 'The control stops with an alarm in the middle of the work.',
    instead: 'Call less deep; a program that calls itself never comes back.',
  },
  bad: [{
    title: 'a program that calls itself',
    program: `
N10 M98 P100
N20 M30
O100
N30 M98 P100
        ^^^^ error call-too-deep: 10 deep
N40 M99
`,
  }],
  good: [{
    title: 'one call in another',
    program: `
N10 M98 P100
N20 M30
O100
N30 M98 P200
N40 M99
O200
N50 M99
`,
  }],
})
