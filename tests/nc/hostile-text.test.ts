import { describe, expect, test } from 'vitest'
import { BlockReader } from '../../server/engine/nc/block-reader.ts'
import type { Problem } from '../../shared/problem.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { readBlocks } from './read-blocks.ts'

const million = 1_000_000

describe('big and broken texts stay fast and are told in a few words', () => {
  const cases: readonly [name: string, text: string, problems: number, words: string][] = [
    ['50 million letters in one line', 'a'.repeat(50 * million), 1, 'is not a word'],
    ['50 million digits in one line', `X${'1'.repeat(50 * million)}`, 1, '50,000,000 digits'],
    ['5 million words in one line', 'X1 '.repeat(5 * million), 1, 'Are the line ends lost?'],
    ['50 million odd characters in one line', '$'.repeat(50 * million), 1, 'belongs to no word'],
    ['50 million brackets in one line', `X${'['.repeat(50 * million)}`, 1, 'not closed'],
    ['50 million comment marks in one line', '('.repeat(50 * million), 1, 'not closed'],
    ['5 million broken words in one line', 'X1.2.3 '.repeat(5 * million), 6, 'is left out'],
    ['a million noughts, as bytes', '\0'.repeat(million), 1, 'no program text'],
  ]
  for (const [name, text, problems, words] of cases) {
    test(name, () => {
      const result = readBlocks(text)
      expect(result.raw.length).toBeLessThanOrEqual(problems)
      expect(result.raw[0].message).toContain(words)
      expect(result.blocks.length).toBeLessThanOrEqual(1)
    })
  }

  test('bytes of a mesh: one problem, nothing read', () => {
    const random = new SeededRandom(7)
    const text = `solid part${Array.from({ length: 20_000 }, () => String.fromCharCode(random.whole(0, 255))).join('')}`
    const result = readBlocks(text)
    expect(result.blocks).toEqual([])
    expect(result.problems.length).toBe(1)
    expect(result.raw[0].message).toMatch(/^This is no program text: [\d,]+ of its first [\d,]+ characters are control characters\./)
  })

  test('a few tape noughts before a program are told and left out', () => {
    const result = readBlocks('\0\0\0G1 X1\nX2')
    expect(result.blocks).toEqual(['1: G1 X1', '2: X2'])
    expect(result.raw.map(problem => problem.message)).toEqual(['"\\x00\\x00\\x00" belongs to no word and is left out.'])
  })

  test('after a line that was given up the next is read normally', () => {
    const result = readBlocks(`${'X1.2.3 '.repeat(100)}\nG1 X5`)
    expect(result.blocks.at(-1)).toBe('2: G1 X5')
    expect(result.raw.at(-1)?.message).toMatch(/^The rest of this line \(\d+ characters\) is left out/)
  })
})

describe('any text is read without a throw, spans lie inside it', () => {
  const pieces = ['G1', 'X1.5', 'y-.', '(', ')', ';', '#', '[', ']', '%', '/', '\n', '\r\n', '\r', ' ', '\t', 'N10', 'E', '.', '-', '+', 'IF', 'O1', ',R2',
    '=', 'SIN', '\0', '\ufeff', 'Ω', '\u{1f600}', '9', 'G43.4', 'X#1', 'M30', ':', '$']
  for (const seed of [1, 2, 3, 4, 5, 6, 7, 8]) {
    test(`1500 texts, seed ${seed}`, () => {
      const random = new SeededRandom(seed)
      for (let n = 0; n < 1500; n++) {
        const text = Array.from({ length: random.whole(0, 60) }, () => random.pick(pieces)).join('')
        const problems: Problem[] = []
        const reader = new BlockReader(text, { wholeNumber: { as: 'units' } }, problem => problems.push(problem))
        let lastLine = -1
        for (let block = reader.next(); block !== undefined; block = reader.next()) {
          expect(block.line).toBeGreaterThan(lastLine)
          lastLine = block.line
          let before = block.start
          for (let i = 0; i < block.count; i++) {
            expect(block.wordStart[i]).toBeGreaterThanOrEqual(before)
            expect(block.wordEnd[i]).toBeGreaterThan(block.wordStart[i])
            before = block.wordEnd[i]
            const head = text.charAt(block.wordStart[i]).toUpperCase()
            expect(head === ':' ? 'O' : head).toBe(String.fromCharCode(block.letters[i]))
          }
          expect(before).toBeLessThanOrEqual(block.end)
          for (const comment of block.comments) expect(comment.start >= block.start && comment.end <= block.end).toBe(true)
        }
        for (const { span } of problems) expect(span.start >= 0 && span.start < span.end && span.end <= text.length, JSON.stringify({ text, problems })).toBe(true)
      }
    })
  }
})

describe('reading again from a line gives the same blocks', () => {
  const text = 'G1 X1\r\nX2\n\nX3 (c)\rN7 X4'
  for (const line of [0, 1, 2, 3, 4, 9]) {
    test(`from line ${line}`, () => {
      const reader = new BlockReader(text, { wholeNumber: { as: 'units' } }, () => undefined)
      const all: string[] = []
      for (let block = reader.next(); block !== undefined; block = reader.next()) all.push(`${block.line} ${block.start} ${block.end}`)
      const again: string[] = []
      reader.seek(line)
      for (let block = reader.next(); block !== undefined; block = reader.next()) again.push(`${block.line} ${block.start} ${block.end}`)
      expect(again).toEqual(all.filter(entry => Number(entry.split(' ')[0]) >= line))
    })
  }
})
