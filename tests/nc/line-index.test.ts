import { describe, expect, test } from 'vitest'
import { lineOf, lineSpan, lineStartsOf, positionOf } from '../../server/engine/nc/line-index.ts'

describe('lines as the language server protocol 3.17 counts them', () => {
  const cases: readonly [text: string, starts: readonly number[]][] = [
    ['', [0, 0]],
    ['abc', [0, 3]],
    ['a\n', [0, 2, 2]],
    ['a\nb\r\nc\rd', [0, 2, 5, 7, 8]],
    ['\r\n\n\r', [0, 2, 3, 4, 4]],
    // The worked file of SARIF 2.1.0.
    ['abcd\r\nefg\r\nhijk\r\nlmn\r\n', [0, 6, 11, 17, 22, 22]],
  ]
  for (const [text, starts] of cases) {
    test(JSON.stringify(text), () => {
      const found = lineStartsOf(text)
      expect([...found]).toEqual(starts)
      for (let offset = 0; offset <= text.length; offset++) {
        const line = lineOf(found, offset)
        expect(found[line]).toBeLessThanOrEqual(offset)
        expect(line === found.length - 2 || found[line + 1] > offset).toBe(true)
      }
    })
  }
  test('positions and spans', () => {
    const text = 'ab\r\ncdef\n'
    const starts = lineStartsOf(text)
    expect(positionOf(starts, 6)).toEqual({ line: 1, character: 2 })
    expect(lineSpan(starts, text, 0)).toEqual({ start: 0, end: 2 })
    expect(lineSpan(starts, text, 1)).toEqual({ start: 4, end: 8 })
    expect(lineSpan(starts, text, 2)).toEqual({ start: 9, end: 9 })
  })
})
