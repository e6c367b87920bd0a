import { defineRule } from '../rule.ts'

export const waiverWithoutReason = defineRule({
  id: 'waiver-without-reason',
  level: 'warning',
  group: 'inputs',
  docs: {
    what: 'A reviewer\'s comment accepts a finding and gives no reason.',
    why: 'Nobody can tell later whether the acceptance still holds; the finding is reported as before.',
    instead: 'Write the reason behind a colon: (ACCEPT rule-id: REASON).',
  },
  bad: [{
    title: 'no reason',
    program: `
(ACCEPT missing-feed)
^^^^^^^^^^^^^^^^^^^^^ warning waiver-without-reason: missing-feed
N10 G1 X10.
`,
  }],
  good: [{
    title: 'with a reason',
    program: `
(ACCEPT missing-feed: FEED SET AT THE PANEL)
N10 G1 X10.
`,
  }],
})
