import type { Span } from '../../../../shared/span.ts'
import { blockSpan, findCode } from '../../nc/words.ts'
import { lineEnd } from '../fix-text.ts'
import { defineRule } from '../rule.ts'

export const missingProgramEnd = defineRule({
  id: 'missing-program-end',
  level: 'error',
  group: 'text',
  docs: {
    what: 'The program ends without M30 or M2, or its text without the second %.',
    why: 'The file may have been cut short on its way to the machine; the control stops in the middle with spindle and coolant on.',
    instead: 'End the program with M30; if the file has lost its end, post it again.',
  },
  bad: [{
    title: 'the text just stops',
    program: `
N10 G0 X0. Y0.
N20 G0 Z100.
^^^^^^^^^^^^ error missing-program-end: M30
`,
  }],
  good: [
    {
      title: 'M30',
      program: `
N10 G0 X0. Y0.
N20 M30
`,
    },
    {
      title: 'a text between two lone %',
      program: `
%
N10 G0 X0. Y0.
%
`,
    },
  ],
  start: report => {
    const memory: { last: Span, ended: boolean, returns: boolean } = { last: { start: 0, end: 0 }, ended: false, returns: false }
    return {
      memory,
      block({ block, after, file }) {
        if (after.ended) memory.ended = true
        if (file !== undefined) return
        // M99 ends a subprogram.
        if (findCode(block, 'M', 99) >= 0) memory.returns = true
        if (block.count > 0 || block.sequence >= 0) memory.last = blockSpan(block)
      },
      end() {
        if (!memory.ended && !memory.returns) {
          report({ rule: 'missing-program-end', span: memory.last, message: 'The text ends here, but no M30 or M2 has ended the program.' })
        }
      },
    }
  },
  // A file that was cut short must not be closed in passing, together with everything else.
  fix: place => {
    const end = place.lineStarts[place.line + 1] ?? place.text.length, eol = lineEnd(place)
    const isLast = !/[\r\n]$/.test(place.text.slice(0, end))
    return { title: 'End the program with M30', edits: [{ span: { start: end, end }, text: isLast ? `${eol}M30` : `M30${eol}` }], keepsMotion: false }
  },
})
