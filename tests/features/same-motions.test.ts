import { describe, expect, test } from 'vitest'
import { renameAt, renumber, tidyChanges, type ProgramText, type RenameAnswer } from '../../server/engine/editor-service.ts'
import { BlockReader } from '../../server/engine/nc/block-reader.ts'
import { marksOf } from '../../server/engine/nc/line-marks.ts'
import { lineStartsOf } from '../../server/engine/nc/line-index.ts'
import { sequenceSpan, wordAt } from '../../server/engine/nc/words.ts'
import { respelled, validProgram } from '../harness/random-program.ts'
import { inOne } from '../harness/in-one.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { applyChanges } from '../harness/show-feature.ts'
import { run, testMachine, testTool } from '../machine/run-program.ts'

// What the editor changes on command never changes a motion: the program is run before and after, on generated programs.

const setup = { offsets: { G54: { X: 1 }, G55: { Z: 9 } }, tools: [testTool(1, 40), testTool(2, 60)] }

const textOf = (text: string): ProgramText => ({ text, lineStarts: lineStartsOf(text), machine: testMachine(), setup: undefined })

/** Numbers before some blocks, and jumps over blocks, each to a number that stands once. */
function withNumbers(random: SeededRandom, lines: readonly string[]): string[] {
  const numbers = Array.from({ length: lines.length }, (_, n) => n * 10 + random.whole(1, 9))
  const result: string[] = []
  for (const [n, line] of lines.entries()) {
    const isHead = /^O/i.test(line)
    result.push(!isHead && random.whole(0, 2) > 0 ? `N${random.pick(['', '00'])}${numbers[n]} ${line}` : line)
    if (n > 12 && n < lines.length - 12 && random.whole(0, 6) === 0) result.push(`GOTO ${9000 + n}`, 'G0 X1.', `N${9000 + n} M8`)
  }
  return result
}

describe('what is changed on command', () => {
  for (const seed of [31, 32]) {
    test(`tidied and renumbered, 120 programs, seed ${seed}: the same motions`, () => {
      const random = new SeededRandom(seed)
      let renumbered = 0, renamed = 0
      for (let n = 0; n < 120; n++) {
        const text = withNumbers(random, validProgram(random)).map(line => respelled(random, line)).join(random.pick(['\n', '\r\n'])), before = run(text, { setup })
        const same = (after: string, what: string) => {
          const second = run(after, { setup })
          expect(second.motions, `${what}\n${text}\n---\n${after}`).toEqual(before.motions)
          // A block that gets a number may be the goal of a jump from then on, so fewer are told to be out of reach.
          if (what !== 'renumbered') expect(second.told.length, `${what}\n${text}\n---\n${after}`).toBe(before.told.length)
        }
        const program = textOf(text), tidied = applyChanges(program, inOne(tidyChanges(program)))
        same(tidied, 'tidied')
        expect(inOne(tidyChanges(textOf(tidied))), tidied).toEqual([])
        const answer = inOne(renumber(program, { start: random.whole(0, 20), step: random.whole(1, 20), every: random.whole(0, 1) === 1 }, undefined, []))
        if (answer.kind === 'edits') {
          renumbered++
          same(applyChanges(program, answer.edits), 'renumbered')
        }
        for (const change of renames(random, program)) {
          if (change.kind !== 'edits') continue
          renamed++
          same(applyChanges(program, change.edits), 'renamed')
        }
      }
      // The test would prove nothing if everything were refused.
      expect(renumbered).toBeGreaterThan(100)
      expect(renamed).toBeGreaterThan(100)
    })
  }
})

/** A rename of something at a few random places. */
function renames(random: SeededRandom, program: ProgramText): RenameAnswer[] {
  const answers: RenameAnswer[] = []
  for (let n = 0; n < 6; n++) {
    const line = random.whole(0, program.lineStarts.length - 2)
    const text = program.text.slice(program.lineStarts[line], program.lineStarts[line + 1])
    for (const mark of marksOf(text.trimEnd())) {
      if (mark.kind === 'variable') answers.push(renameAt(program, line, mark.from, String(random.whole(200, 300)), undefined))
      if (mark.kind === 'word' && 'NOP'.includes(mark.letter) || mark.kind === 'number') answers.push(renameAt(program, line, mark.from, String(random.whole(70_000, 80_000)), undefined))
    }
  }
  return answers
}

describe('marks of a line', () => {
  for (const seed of [41, 42]) {
    test(`are the words that the block reader has, 200 programs, seed ${seed}`, () => {
      const random = new SeededRandom(seed)
      for (let n = 0; n < 200; n++) {
        for (const line of withNumbers(random, validProgram(random)).map(each => respelled(random, each))) {
          const block = new BlockReader(line, { wholeNumber: { as: 'units' } }, () => {}).next()
          const read = block === undefined ? [] : Array.from({ length: block.count }, (_, i) => wordAt(block, i)).filter(word => !Number.isNaN(word.value))
          const marked = marksOf(line).filter(mark => mark.kind === 'word' && mark.isPlain && mark.letter !== 'N')
          const expressions = read.filter(word => !marked.some(mark => mark.from === word.span.start))
          // A word whose number is worked out is a letter and its expression here.
          expect(expressions.every(word => /[[#]/.test(line.slice(word.span.start, word.span.end))), line).toBe(true)
          if (/IF|WHILE|GOTO/i.test(line)) continue
          expect(marked.map(mark => [mark.from, mark.to, mark.kind === 'word' ? mark.value : undefined]), line)
            .toEqual(read.filter(word => !expressions.includes(word)).map(word => [word.span.start, word.span.end, word.value]))
          const sequence = block === undefined ? undefined : sequenceSpan(block), number = marksOf(line).find(mark => mark.kind === 'word' && mark.letter === 'N')
          expect(number === undefined ? undefined : { start: number.from, end: number.to }, line).toEqual(sequence)
        }
      }
    })
  }

  test('any text: in order, none over another, within the line, seed 43', () => {
    const random = new SeededRandom(43)
    for (let n = 0; n < 5000; n++) {
      const line = Array.from({ length: random.whole(0, 40) }, () => random.pick([...'GXYZNOM#[]()<>;/%:=+-*.,0123456789 \t', 'IF', 'GOTO', 'SIN[', '\u00e9', '\u0000', '\ud83d'])).join('')
      let at = 0
      for (const { from, to } of marksOf(line)) {
        expect(from, line).toBeGreaterThanOrEqual(at)
        expect(to, line).toBeGreaterThan(from)
        at = to
      }
      expect(at, line).toBeLessThanOrEqual(line.length)
    }
  })
})
