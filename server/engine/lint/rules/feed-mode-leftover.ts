import type { Span } from '../../../../shared/span.ts'
import { findWord } from '../../nc/words.ts'
import { isCutting, motionSpan } from '../motion-words.ts'
import { blocks } from '../figures.ts'
import { defineRule } from '../rule.ts'

export const feedModeLeftover = defineRule({
  id: 'feed-mode-leftover',
  level: 'error',
  group: 'state',
  docs: {
    what: 'A cutting block in inverse time (G93) has no F word of its own, or a block takes over an F that was given in another feed mode.',
    why: 'In inverse time F belongs to one block: an old one gives a wrong duration. After a change between G93, G94 and G95 the same number means another speed, often by a factor of hundreds.',
    instead: 'Write F in every G93 block, and a new F in the first cutting block after G94 or G95.',
  },
  bad: [
    {
      title: 'an inverse-time block has lost its F',
      program: `
N10 G93
N20 G1 X10. F50.
N30 X20.
    ^^^^ error feed-mode-leftover: inverse time
N40 X30. F50.
`,
    },
    {
      title: 'the inverse-time F is taken over as a feed per minute',
      program: `
N10 G93
N20 G1 X10. F50.
N30 G94
N40 G1 X20.
    ^^ error feed-mode-leftover: F50
`,
    },
  ],
  good: [{
    title: 'F in every inverse-time block, and a new one after G94',
    program: `
N10 G93
N20 G1 X10. F50.
N30 X20. F50.
N40 G94
N50 X30. F500
N60 X40.
`,
  }],
  start: report => {
    const memory: { run: { readonly span: Span, readonly file: string | undefined, readonly count: number } | undefined, told: boolean } = { run: undefined, told: false }
    const flush = () => {
      const { run } = memory
      if (run === undefined) return
      const count = run.count === 1 ? '' : ` The same holds for the ${blocks(run.count - 1)} after it.`
      report({ rule: 'feed-mode-leftover', span: run.span, file: run.file, message: `This block is in inverse time (G93) and has no F word of its own.${count}` })
      memory.run = undefined
    }
    return {
      memory,
      block(step) {
        const { block, after } = step
        const { feed, feedGivenIn, feedMode } = after
        if (!isCutting(step)) return
        if (feedMode === 93) {
          if (findWord(block, 'F') >= 0) flush()
          else if (memory.run === undefined || memory.run.file !== step.file) {
            flush()
            memory.run = { span: motionSpan(block), file: step.file, count: 1 }
          } else memory.run = { ...memory.run, count: memory.run.count + 1 }
          return
        }
        flush()
        const mode = feedMode ?? 94
        if (feed === undefined || feedGivenIn === undefined || feedGivenIn === mode) memory.told = false
        else if (!memory.told) {
          memory.told = true
          report({
            rule: 'feed-mode-leftover', span: motionSpan(block),
            message: `F${feed} was given under G${feedGivenIn} (${meanings[feedGivenIn]}); this block would take it as ${meanings[mode]} (G${mode}).`,
          })
        }
      },
      end: flush,
    }
  },
})

const meanings = { 93: 'inverse time', 94: 'feed per minute', 95: 'feed per revolution' } as const
