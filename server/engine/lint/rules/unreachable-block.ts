import type { Span } from '../../../../shared/span.ts'
import { blockSpan, findWord } from '../../nc/words.ts'
import { blocks } from '../figures.ts'
import { Notes } from '../notes.ts'
import { defineRule } from '../rule.ts'

export const unreachableBlock = defineRule({
  id: 'unreachable-block',
  level: 'warning',
  group: 'text',
  docs: {
    what: 'Blocks stand behind the end of the program (M30, M2), or behind a jump that is always taken, and are never run.',
    why: 'Somebody meant them to run, or the end stands in the wrong place: part of the work is then not done.',
    instead: 'Move M30 or the jump behind the last block, or take the rest out.',
  },
  bad: [{
    title: 'blocks behind M30',
    program: `
N10 G0 X0. Y0.
N20 M30
N30 G0 X10.
^^^^^^^^^^^ warning unreachable-block: 2 blocks
N40 G0 X20.
`,
  }, {
    title: 'nothing leads to the block behind a jump',
    program: `
N10 GOTO 30
G0 X10.
^^^^^^^ warning unreachable-block: always jumps
N30 M30
`,
  }],
  good: [
    {
      title: 'a jump goes over blocks that another one leads to',
      program: `
N10 IF [#3005 EQ 1] GOTO 30
N20 GOTO 40
N30 G0 X10.
N40 M30
`,
    },
    {
      title: 'only the closing % follows',
      program: `
%
N10 G0 X0. Y0.
N20 M30
%
`,
    },
    {
      title: 'a subprogram with its own number follows the main program',
      program: `
N10 G0 X0. Y0.
N20 M30
O100
N30 G0 X10.
N40 M99
`,
    },
  ],
  start: report => {
    const memory = { other: false }, counts = { blocks: 0 }, notes = new Notes<{ readonly span: Span }>(1)
    return {
      memory, counts, notes,
      block({ block, before, file }) {
        if (file !== undefined || !before.ended || block.percent || block.count === 0) return
        if (findWord(block, 'O') >= 0) memory.other = true
        if (memory.other) return
        notes.add({ span: blockSpan(block) })
        counts.blocks++
      },
      end() {
        const [first] = notes.list, count = counts.blocks
        if (first === undefined) return
        report({
          rule: 'unreachable-block', span: first.span,
          message: `The program has ended before: ${count === 1 ? 'this block is' : `${blocks(count)} from here on are`} never run.`,
        })
      },
    }
  },
})
