import { wordSpan } from '../../nc/words.ts'
import { blockOn, textOf, without } from '../fix-text.ts'
import { defineRule } from '../rule.ts'

export const repeatedWord = defineRule({
  id: 'repeated-word',
  level: 'error',
  group: 'text',
  docs: {
    what: 'A letter that is meant once stands twice in a block.',
    why: 'Controls stop, or take one of the two; which one differs.',
    instead: 'Take one out, or correct its letter.',
  },
  bad: [{
    title: 'X twice, Y was meant',
    program: `
N10 G1 X10. X20. F200
            ^^^^ error repeated-word: X20.
`,
  }, {
    title: 'the same word twice',
    program: `
N10 G1 X10. Y5. X10. F200
                ^^^^ error repeated-word: X10.
`,
  }],
  good: [{
    title: 'several G and M codes are usual',
    program: `
N10 G90 G17 G1 X10. F200 M3 M8
`,
  }],
  // Which of two different words was meant, only the writer knows.
  fix: place => {
    const block = blockOn(place, place.line), word = textOf(place, place.span)
    if (block === undefined || !/^[A-Z][-+.\d]+$/i.test(word)) return undefined
    const letter = word.toUpperCase().charCodeAt(0)
    const all = Array.from({ length: block.count }, (_, i) => i).filter(i => block.letters[i] === letter).map(i => textOf(place, wordSpan(block, i)))
    if (all.length !== 2 || all.some(each => each.toUpperCase() !== word.toUpperCase())) return undefined
    return { title: `Take the second ${word} out`, edits: [without(place, place.span)], keepsMotion: true }
  },
})
