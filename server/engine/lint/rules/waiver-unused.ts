import { without } from '../fix-text.ts'
import { defineRule } from '../rule.ts'

export const waiverUnused = defineRule({
  id: 'waiver-unused',
  level: 'warning',
  group: 'inputs',
  docs: {
    what: 'A reviewer\'s comment accepts a finding that is not there.',
    why: 'The program has changed, or the comment stands on another block than it was meant for: it would silently cover the next fault.',
    instead: 'Take the comment out, or put it on the block or the line above it.',
  },
  bad: [
    {
      title: 'the feed is there',
      program: `
N10 G1 X10. F200 (ACCEPT missing-feed: FEED SET AT THE PANEL)
                 ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ warning waiver-unused: missing-feed
`,
    },
    {
      title: 'no rule has that name',
      program: `
(ACCEPT missing-fead: FEED SET AT THE PANEL)
^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ warning waiver-unused: missing-fead
N10 G1 X10.
`,
    },
  ],
  good: [{
    title: 'on the line above the block, and on the block itself',
    program: `
(ACCEPT missing-feed: FEED SET AT THE PANEL)
N10 S8000 M3 G1 X10.
N15 M5
N20 X20. ; ACCEPT spindle-stopped: SCRIBING TOOL
`,
  }],
  // Somebody has written it with a reason: it is not swept away with other things.
  fix: place => {
    const { text, span, line, lineStarts } = place
    const start = lineStarts[line] ?? 0, end = lineStarts[line + 1] ?? text.length
    const isAlone = (text.slice(start, span.start) + text.slice(span.end, end)).trim() === ''
    return { title: 'Take the comment out', edits: [isAlone ? { span: { start, end }, text: '' } : without(place, span)], keepsMotion: true, oneByOne: true }
  },
})
