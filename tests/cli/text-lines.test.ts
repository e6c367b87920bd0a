import { describe, expect, test } from 'vitest'
import { codeFrame, printable } from '../../server/cli/code-frame.ts'
import { lineText, linesOf, placeOf, regionOf } from '../../server/cli/text-lines.ts'
import { spanOf } from './hand-made.ts'

describe('regions, by the worked file of SARIF 2.1.0, 3.30.2 to 3.30.4', () => {
  const text = 'abcd\r\nefg\r\nhijk\r\nlmn\r\n'
  const lines = linesOf(text)

  test('part of a line', () => {
    expect(regionOf(lines, { start: 1, end: 3 })).toEqual({ startLine: 1, startColumn: 2, endColumn: 4 })
  })
  test('a whole line without its line end', () => {
    expect(regionOf(lines, spanOf(text, 'efg'))).toEqual({ startLine: 2, startColumn: 1, endColumn: 4 })
  })
  test('two lines', () => {
    expect(regionOf(lines, spanOf(text, 'efg\r\nhijk'))).toEqual({ startLine: 2, startColumn: 1, endLine: 3, endColumn: 5 })
  })
  test('a line with its line end', () => {
    expect(regionOf(lines, spanOf(text, 'efg\r\n'))).toEqual({ startLine: 2, startColumn: 1, endLine: 3, endColumn: 1 })
  })
  test('an insertion at the end of the file', () => {
    expect(regionOf(lines, { start: 22, end: 22 })).toEqual({ startLine: 4, startColumn: 6, endColumn: 6 })
  })
  test('spans beyond the text stay inside it', () => {
    expect(regionOf(lines, { start: 90, end: 99 })).toEqual({ startLine: 4, startColumn: 6, endColumn: 6 })
    expect(regionOf(linesOf(''), { start: 0, end: 0 })).toEqual({ startLine: 1, startColumn: 1, endColumn: 1 })
  })
})

test('lines end at CR LF, LF and a lone CR; columns count UTF-16 code units', () => {
  const lines = linesOf('a\rb\n\u{1f600}c\r\nd')
  expect(lines.starts).toEqual([0, 2, 4, 9])
  expect([1, 2, 3, 4, 5].map(line => lineText(lines, line))).toEqual(['a', 'b', '\u{1f600}c', 'd', ''])
  expect(placeOf(lines, 6)).toEqual({ line: 3, column: 3 })
})

describe('code frames', () => {
  const frameOf = (text: string, piece: string) => codeFrame(linesOf(text), spanOf(text, piece))

  test('carets stand under the marked characters', () => {
    expect(frameOf('N10 G0\nN20 G1 X12.5 Y4.\n', 'X12.5')).toEqual({
      code: '      2  N20 G1 X12.5 Y4.',
      carets: '                ^^^^^',
    })
  })
  test('a tab counts one character', () => {
    expect(frameOf('N20\tG1\tX1', 'X1')).toEqual({ code: '      1  N20 G1 X1', carets: '                ^^' })
  })
  test('an empty span gets one caret, also behind the last character', () => {
    expect(codeFrame(linesOf('G1 X1'), { start: 5, end: 5 })).toEqual({ code: '      1  G1 X1', carets: '              ^' })
  })
  test('a span over several lines is marked to the end of its first', () => {
    expect(codeFrame(linesOf('G1 X1\nX2'), { start: 3, end: 8 })?.carets).toBe('            ^^')
  })
  test('of a very long line only the surroundings are shown', () => {
    const text = `${'X1 '.repeat(1000)}Y77 ${'X1 '.repeat(1000)}`
    const frame = codeFrame(linesOf(text), spanOf(text, 'Y77'))
    expect(frame?.code.length).toBeLessThan(120)
    const at = frame?.carets.indexOf('^^^') ?? -1
    expect(frame?.code.slice(at, at + 3)).toBe('Y77')
  })
  test('no frame without text', () => {
    expect(codeFrame(linesOf(''), { start: 0, end: 0 })).toBeUndefined()
  })
})

test('nothing in a program reaches the terminal as a control character', () => {
  expect(printable('a\u001b[31mb\u0007\u009b\u202e\r')).toBe('a·[31mb····')
})
