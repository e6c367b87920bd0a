import { describe, expect, test } from 'vitest'
import { readBlocks } from './read-blocks.ts'

// One line each: what is written, what is read. Rule numbers are those of NISTIR 6556's sections.

describe('blocks as they are read', () => {
  const cases: readonly [source: string, text: string, blocks: readonly string[]][] = [
    ['3.3: spaces and tabs mean nothing', 'g0x +0. 12 34y 7', ['1: G0 X0.1234 Y7']],
    ['3.3: tabs too', 'G1\tX\t1 . 5', ['1: G1 X1.5']],
    ['3.3: letter case means nothing', 'n10 g1 x1 f200', ['1: N10 G1 X1 F200']],
    ['3.3: blank lines are passed over', 'G0\n\n  \t\nG1', ['1: G0', '4: G1']],
    ['3.3.2.1: a number needs no point', 'X12', ['1: X12']],
    ['3.3.2.1: digits on one side of the point are enough', 'X.5 Y5. Z-.25 A+3', ['1: X0.5 Y5 Z-0.25 A3']],
    ['3.3.2.1: about 17 figures are kept', 'X1.23456789012345678', ['1: X1.2345678901234567']],
    ['long numbers are read whole', 'X12345678901234567890', ['1: X12345678901234567000']],
    ['leading noughts', 'G01 X007.50', ['1: G1 X7.5']],
    ['codes with a point', 'G43.4 G54.1 P3', ['1: G43.4 G54.1 P3']],
    ['3.3.1: sequence numbers', 'N99999 X1\nN0 X2', ['1: N99999 X1', '2: N0 X2']],
    ['3.3.1: a real control takes longer sequence numbers, and so do we', 'N000009 X1\nN1234567 X2', ['1: N9 X1', '2: N1234567 X2']],
    ['3.3: a real control takes longer lines than 256 characters, and so do we', `G1 X1 ${' '.repeat(400)} Y2`, ['1: G1 X1 Y2']],
    ['sequence number behind the words', 'G1 N20 X3', ['1: N20 G1 X3']],
    ['2.2.2: block skip', '/N10 G1 X1\n/ X2\n/3 X4', ['1: /N10 G1 X1', '2: /X2', '3: /X4']],
    ['block skip behind the sequence number', 'N10 /X1', ['1: /N10 X1']],
    ['3.3.4: comments', '(one) G1 (two) X1', ['1: G1 X1 (one) (two)']],
    ['semicolon comments run to the end of the line', 'G1 X1 ; Y2 (three\nX2', ['1: G1 X1 ; Y2 (three', '2: X2']],
    ['a semicolon inside a comment is part of it', 'G1 (a;b) X2', ['1: G1 X2 (a;b)']],
    ['an address and its number around a comment', 'G1 (X5) X6', ['1: G1 X6 (X5)']],
    ['3.1: percent', '%\nG1\n%', ['1: %', '2: G1', '3: %']],
    ['program number', 'O1234\n:77', ['1: O1234', '2: O77']],
    ['program number behind the percent', '%O12 (GEAR)', ['1: O12 (GEAR)']],
    ['line ends \\n, \\r\\n and \\r', 'X1\r\nX2\rX3\nX4', ['1: X1', '2: X2', '3: X3', '4: X4']],
    ['no line end at the end', 'X1\nX2', ['1: X1', '2: X2']],
    ['byte order mark', '\ufeffG1 X1', ['1: G1 X1']],
    ['empty text', '', []],
    ['only line ends', '\r\n\n\r', []],
    ['minus nought', 'C-0', ['1: C0']],
    ['any order of words', 'F100 X1 G1 Y2', ['1: F100 X1 G1 Y2']],
  ]
  for (const [source, text, blocks] of cases) {
    test(`${source}: ${JSON.stringify(text.slice(0, 40))}`, () => {
      const result = readBlocks(text)
      expect(result.problems).toEqual([])
      expect(result.blocks).toEqual(blocks)
    })
  }
})

describe('what cannot be read costs its own word or block only', () => {
  const cases: readonly [text: string, blocks: readonly string[], problems: readonly string[]][] = [
    ['G1 X Y2', ['1: G1 Y2'], ['malformed-word "X"']],
    ['GX10', ['1: X10'], ['malformed-word "G"']],
    ['G1 X', ['1: G1'], ['malformed-word "X"']],
    ['HELLO\nG1', ['1: ', '2: G1'], ['malformed-word "HELLO"']],
    ['G1 TOOL5 X2', ['1: G1 X2'], ['malformed-word "TOOL5"']],
    ['X1.2.3 Y4', ['1: Y4'], ['malformed-number "X1.2.3"']],
    ['X1-2 Y4', ['1: Y4'], ['malformed-number "X1-2"']],
    ['X-- Y4', ['1: Y4'], ['malformed-number "X--"']],
    ['X. Y4', ['1: Y4'], ['malformed-number "X."']],
    ['X- Y4', ['1: Y4'], ['malformed-number "X-"']],
    ['X- .5', ['1: X-0.5'], []],
    [`X${'1'.repeat(65)} Y4`, ['1: Y4'], [`malformed-number "X${'1'.repeat(65)}"`]],
    ['N-5 X1', ['1: X1'], ['malformed-number "N-5"']],
    ['N1.5 X1', ['1: X1'], ['malformed-number "N1.5"']],
    ['N1 N2 X1', ['1: N1 X1'], ['repeated-word "N2"']],
    ['G1 E5 X1', ['1: G1 X1'], ['unknown-letter "E5"']],
    ['G1 $1 X1', ['1: G1 X1'], ['stray-text "$1"']],
    ['12 X1', ['1: X1'], ['stray-text "12"']],
    ['G1 X1 ) Y2', ['1: G1 X1 Y2'], ['stray-text ")"']],
    ['X1 / Y2', ['1: X1 Y2'], ['stray-text "/"']],
    ['X1 % Y2', ['1: X1 Y2'], ['stray-text "%"']],
    ['G1 ÄÖ X1', ['1: G1 X1'], ['stray-text "ÄÖ"']],
    ['G1 (open X1\nX2', ['1: G1 (open X1', '2: X2'], ['unclosed-comment "("']],
    ['G1 (a (b) c) X1', ['1: G1 X1 (a (b) c)'], ['stray-text "("']],
    ['X[1+2 Y3\nX4', ['1: ', '2: X4'], ['unclosed-bracket "["']],
    ['G1 [5] X1', ['1: G1 X1'], ['stray-text "[5]"']],
    ['G1 ,C2. X1', ['1: G1 X1'], ['not-checked ",C2."']],
    ['G1 , X1', ['1: G1 X1'], ['stray-text ","']],
    ['1E5 X1', ['1: X1'], ['stray-text "1"', 'unknown-letter "E5"']],
  ]
  for (const [text, blocks, problems] of cases) {
    test(JSON.stringify(text.slice(0, 40)), () => {
      const result = readBlocks(text)
      expect(result.problems).toEqual(problems)
      expect(result.blocks).toEqual(blocks)
    })
  }
})

describe('variables and expressions are passed over whole and said aloud', () => {
  const cases: readonly [text: string, blocks: readonly string[], problems: readonly string[]][] = [
    ['G1 X#1 Y2', ['1: G1 X? Y2'], ['not-checked "X#1"']],
    ['X-#101 Y2', ['1: X? Y2'], ['not-checked "X-#101"']],
    ['X##2 Y2', ['1: X? Y2'], ['not-checked "X##2"']],
    ['X[#1 * SIN[#2]] Y2', ['1: X? Y2'], ['not-checked "X[#1 * SIN[#2]]"']],
    ['X#[1+2] Y2', ['1: X? Y2'], ['not-checked "X#[1+2]"']],
    ['#3=15 X1', ['1: X1'], ['not-checked "#3=15"']],
    ['#3=SIN[30]+#4 (sine) X1', ['1: X1 (sine)'], ['not-checked "#3=SIN[30]+#4"']],
    ['N10 IF [#1 GT 2] GOTO 50 (loop)', ['1: N10 (loop)'], ['not-checked "IF [#1 GT 2] GOTO 50"']],
    ['GOTO 10', [], ['not-checked "GOTO 10"']],
  ]
  for (const [text, blocks, problems] of cases) {
    test(JSON.stringify(text), () => {
      const result = readBlocks(text)
      expect(result.problems).toEqual(problems)
      expect(result.blocks).toEqual(blocks)
    })
  }
})

describe('numbers without a point as least increments (the machine file says so)', () => {
  const increments = { as: 'increments', increment: 0.001 } as const
  const cases: readonly [text: string, blocks: readonly string[]][] = [
    ['X100 Y100. Z-1', ['1: X0.1 Y100 Z-0.001']],
    ['A90000 C1.5', ['1: A90 C1.5']],
    ['G2 I1234 R5', ['1: G2 I1.234 R0.005']],
    ['F500 S8000 T3 H3 P1000 N5', ['1: N5 F500 S8000 T3 H3 P1000']],
  ]
  for (const [text, blocks] of cases) {
    test(text, () => expect(readBlocks(text, increments).blocks).toEqual(blocks))
  }
  test('increments larger than the unit', () => expect(readBlocks('X3 Y3.', { as: 'increments', increment: 10 }).blocks).toEqual(['1: X30 Y3']))
})
