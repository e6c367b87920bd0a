import { defineRule } from '../rule.ts'

export const unclosedComment = defineRule({
  id: 'unclosed-comment',
  level: 'error',
  group: 'text',
  docs: {
    what: 'A comment is opened with ( and not closed on its line.',
    why: 'Everything behind the bracket is lost, and some controls go on reading comment in the next lines.',
    instead: 'Close the comment on the same line.',
  },
  bad: [{
    title: 'the rest of the line is lost',
    program: `
N10 G0 X0. (APPROACH Y20.
           ^ error unclosed-comment
`,
  }],
  good: [{
    title: 'closed on its line',
    program: `
N10 G0 X0. (APPROACH) Y20.
`,
  }],
  // What has been lost in the comment is for the writer to see.
  fix: ({ text, span, line, lineStarts }) => {
    const end = span.start + text.slice(span.start, lineStarts[line + 1]).trimEnd().length
    return { title: 'Close the comment at the end of its line', edits: [{ span: { start: end, end }, text: ')' }], keepsMotion: true, oneByOne: true }
  },
})
