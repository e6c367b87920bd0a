import { describe, expect, test } from 'vitest'
import { evaluateExpression } from '../../server/engine/nc/expression.ts'
import { readBlocks } from './read-blocks.ts'

describe('expressions of plain numbers: values printed in NISTIR 6556 3.3.2 and appendix C.2', () => {
  const cases: readonly [text: string, value: number, digits?: number][] = [
    ['[2.0/3*1.5-5.5/11.0]', 0.5], ['[1+2]', 3], ['[1-2]', -1], ['[1 --3]', 4], ['[2/5]', 0.4], ['[3.0*5]', 15],
    ['[0 OR 0]', 0], ['[0 OR 1]', 1], ['[2 or 1]', 1], ['[0 AND 0]', 0], ['[0 AND 1]', 0], ['[2 AND 2]', 1],
    ['[0 XOR 0]', 0], ['[0 XOR 1]', 1], ['[2 XOR 2]', 0], ['[15 MOD 4.0]', 3], ['[1+2*3-4/5]', 6.2],
    ['sin[30]', 0.5], ['cos[0]', 1], ['tan[60]', 1.7321, 4], ['sqrt[3]', 1.7321, 4], ['atan[1.7321]/[1.0]', 60, 2],
    ['asin[1]', 90], ['acos[0.707107]', 45, 3], ['abs[20]', 20], ['abs[-1.23]', 1.23],
    ['round[-0.499]', 0], ['round[-0.5001]', -1], ['round[2.444]', 2], ['round[9.975]', 10],
    ['fix[-0.499]', -1], ['fix[-0.5001]', -1], ['fix[2.444]', 2], ['fix[9.975]', 9], ['FIX[2.8]', 2], ['FIX[-2.8]', -3],
    ['fup[-0.499]', 0], ['fup[-0.5001]', 0], ['fup[2.444]', 3], ['fup[9.975]', 10], ['FUP[2.8]', 3], ['FUP[-2.8]', -2],
    ['exp[2.3026]', 10, 3], ['ln[10]', 2.3026, 4], ['[2**3.0]', 8], ['sqrt[3**2+4**2]', 5],
    ['[1 + acos[0] - [15 ** [4.0/2]]]', -134], ['[6-[4*3/2]]', 0],
    // Line n0460 of C.2; the report prints no value, the figure follows from its rules.
    ['[2 + asin[1/2.1+-0.345] / [atan[fix[4.4]*2.1*sqrt[16.8]]/[-18]]**2]', 2.000545078, 9],
    // Common practice, though the report's own grammar does not derive it.
    ['-[2]', -2],
  ]
  for (const [text, value, digits] of cases) {
    test(`${text} = ${value}`, () => {
      const answer = evaluateExpression(text)
      expect(answer.kind === 'value' ? answer.value + 0 : answer).toBeCloseTo(value, digits ?? 12)
    })
  }
})

describe('what has no value', () => {
  const cases: readonly [text: string, because: string][] = [
    ['[1/0]', 'it divides by zero'], ['[1 MOD 0]', 'it divides by zero'], ['sqrt[-1]', 'no square root'], ['asin[2]', 'from -1 to 1'], ['ln[0]', 'above zero'],
    ['[[-8]**0.5]', 'no broken power'], ['exp[1000]', 'too large'], ['[1+]', 'expected'], ['[]', 'expected'], ['[1,2]', 'expected'], ['atan[1]', 'two values'],
    ['[1]+[2]', 'does not belong'], [`${'['.repeat(100)}1${']'.repeat(100)}`, 'more than 64 brackets'], [`[${'1+'.repeat(2000)}1]`, 'longer than 2000'], ['foo[1]', 'number was expected'],
  ]
  for (const [text, because] of cases) {
    test(text.slice(0, 30), () => {
      const answer = evaluateExpression(text)
      expect(answer.kind === 'fault' ? answer.because : answer).toContain(because)
    })
  }
  test('a variable', () => expect(evaluateExpression('[#1+2]')).toEqual({ kind: 'variable', doubts: [] }))
})

describe('in a block', () => {
  const cases: readonly [text: string, blocks: readonly string[], problems: readonly string[]][] = [
    ['g2 x[6-[4*3/2]] r 7.01 z0.5', ['1: G2 X0 R7.01 Z0.5'], []],
    // NISTIR 6556 table 10.
    ['g1 x asin[1] y1', ['1: G1 X90 Y1'], []],
    ['g1 x asim[0.5] y2', ['1: G1 Y2'], ['malformed-word "x asim[0.5]"']],
    ['G1 X[1/0] Y2', ['1: G1 X? Y2'], ['bad-expression "X[1/0]"']],
    ['N[5] X1', ['1: X1'], ['malformed-number "N[5]"']],
    ['E[5] X1', ['1: X1'], ['unknown-letter "E[5]"']],
    ['G[40+3] H[2]', ['1: G43 H2'], []],
  ]
  for (const [text, blocks, problems] of cases) {
    test(text, () => {
      const result = readBlocks(text)
      expect(result.blocks).toEqual(blocks)
      expect(result.problems).toEqual(problems)
    })
  }
  test('a value worked out is no count of least increments', () => {
    expect(readBlocks('X[100] Y100', { as: 'increments', increment: 0.001 }).blocks).toEqual(['1: X100 Y0.1'])
  })
})
