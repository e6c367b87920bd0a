import type { VariableControl } from './machine.ts'

/** Functions of expressions: NISTIR 6556 3.3.2.4. */
export const expressionFunctions = ['ABS', 'ACOS', 'ASIN', 'ATAN', 'COS', 'EXP', 'FIX', 'FUP', 'LN', 'ROUND', 'SIN', 'SQRT', 'TAN'] as const

/** What holds where the machine file says nothing about variables. The spellings are common practice. */
export const usualVariables: VariableControl = {
  unset: 'unknown',
  named: false,
  axes: 'XYZABC',
  fix: 'down',
  signBefore: true,
  spellings: { SQR: 'SQRT', RND: 'ROUND', ATN: 'ATAN', ASN: 'ASIN', ACS: 'ACOS' },
}
