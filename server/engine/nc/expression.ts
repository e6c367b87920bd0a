import { expressionFunctions, usualVariables } from '../../../shared/usual-variables.ts'
import type { ExpressionRules, VariableDoubt, VariableSource, VariableValue } from './variables.ts'

// Works out expressions: NISTIR 6556 3.3.2.2 (variables), 3.3.2.3 and 3.3.2.4. Levels of binary
// operators, left to right inside a level; functions in degrees; truth is 1, falsehood 0. The
// comparisons EQ NE GT GE LT LE bind weakest; they are no part of the report but common practice.

/** A variable that could not be read with confidence. */
export interface Doubt {
  readonly name: string
  readonly doubt: VariableDoubt
}

export type ExpressionAnswer = { readonly doubts: readonly Doubt[] } & (
  | { readonly kind: 'value', readonly value: number }
  /** The whole is a variable in which nothing has been stored. */
  | { readonly kind: 'vacant' }
  /** It depends on a variable whose value is not known. */
  | { readonly kind: 'variable' }
  /** Why it has no value. */
  | { readonly kind: 'fault', readonly because: string }
)

/** `#1 = 5`: which variable, and its new value. */
export interface SettingAnswer {
  readonly index: number
  readonly name: string
  readonly answer: ExpressionAnswer
  /** Characters of the text that belong to it. */
  readonly length: number
}

/** Brackets inside brackets beyond this are not followed. */
const DEEPEST = 64
/** Longer expressions are not worked out. */
const LONGEST = 2000

/** Names that may stand before a bracket. */
export const functionNames: ReadonlySet<string> = new Set(expressionFunctions)

const levels: readonly (readonly string[])[] = [['**'], ['*', '/', 'MOD'], ['+', '-', 'OR', 'XOR', 'AND'], ['EQ', 'NE', 'GT', 'GE', 'LT', 'LE']]

/** The value of the text between the letter and the end of the word. Never throws. */
export function evaluateExpression(text: string, variables?: VariableSource, rules: ExpressionRules = usualVariables): ExpressionAnswer {
  if (text.length > LONGEST) return { kind: 'fault', because: `it is longer than ${LONGEST} characters`, doubts: [] }
  const reader = new ExpressionReader(text.replace(/[ \t]/g, '').toUpperCase(), variables, rules)
  return reader.whole(reader.realValue(0))
}

/** The setting of a variable that begins with the `#` of this text; what follows it is left alone. Undefined: no `=`. */
export function evaluateSetting(text: string, variables: VariableSource, rules: ExpressionRules = usualVariables): SettingAnswer | undefined {
  const cut = text.slice(0, LONGEST), plain = cut.replace(/[ \t]/g, '').toUpperCase()
  const reader = new ExpressionReader(plain, variables, rules)
  const target = reader.target()
  if (reader.fault === '' && plain.charAt(reader.at) !== '=') return undefined
  reader.at++
  const value = reader.fault === '' ? reader.level(levels.length - 1, 0) : 0
  const answer = reader.answer(value)
  let length = 0
  for (let left = reader.fault === '' ? reader.at : plain.length; left > 0 && length < cut.length; length++) {
    const code = cut.charCodeAt(length)
    if (code !== 32 && code !== 9) left--
  }
  return { ...target, answer, length }
}

class ExpressionReader {
  at = 0
  fault = ''
  readonly #doubts: Doubt[] = []
  readonly #text: string
  readonly #variables: VariableSource | undefined
  readonly #rules: ExpressionRules

  constructor(text: string, variables: VariableSource | undefined, rules: ExpressionRules) {
    this.#text = text
    this.#variables = variables
    this.#rules = rules
  }

  /** The answer when nothing may follow the value. */
  whole(value: number | undefined): ExpressionAnswer {
    if (this.fault === '' && this.at < this.#text.length) this.fault = `"${this.#text.slice(this.at, this.at + 20)}" does not belong to it`
    return this.answer(value)
  }

  answer(value: number | undefined): ExpressionAnswer {
    const doubts = this.#doubts
    if (this.fault === '' && (value === Infinity || value === -Infinity)) this.fault = 'its value is too large'
    if (this.fault !== '') return { kind: 'fault', because: this.fault, doubts }
    if (value === undefined) return { kind: 'vacant', doubts }
    return Number.isNaN(value) ? { kind: 'variable', doubts } : { kind: 'value', value, doubts }
  }

  /** The variable after `#`: `#5`, `##2`, `#[1+2]`, `#<name>`. */
  target(): { index: number, name: string } {
    this.at++
    if (this.#text.charAt(this.at) === '<') {
      const end = this.#text.indexOf('>', this.at)
      if (end < 0) this.#stop('the name after "#<" is not closed by ">"')
      const name = this.#text.slice(this.at + 1, end < 0 ? this.#text.length : end)
      this.at = end < 0 ? this.#text.length : end + 1
      return { index: Number.NaN, name }
    }
    const index = this.#number(this.realValue(1))
    if (this.fault !== '' || Number.isNaN(index)) return { index: Number.NaN, name: '' }
    const whole = Math.round(index)
    // NISTIR 6556 3.3.2.1: within 0.0001 of a whole number counts as that number.
    if (Math.abs(index - whole) > 1e-4 || whole < 0) this.#stop(`#${index} is no variable: its number is a whole one, 1 or more`)
    return { index: whole, name: '' }
  }

  /** A number, a variable, a bracket or a function. Undefined: a vacant variable. */
  realValue(depth: number): number | undefined {
    if (this.fault !== '') return 0
    if (depth > DEEPEST) return this.#stop(`it holds more than ${DEEPEST} brackets inside each other`)
    const number = /^[+-]?(?:\d+\.?\d*|\.\d+)/.exec(this.#text.slice(this.at, this.at + 80))
    if (number !== null) {
      this.at += number[0].length
      return Number(number[0])
    }
    const sign = this.#text.charAt(this.at)
    if (sign === '-' || sign === '+') {
      if (!this.#rules.signBefore) return this.#stop(`a sign stands before "${this.#text.slice(this.at + 1, this.at + 20)}"; on this control it belongs to a plain number`)
      this.at++
      const value = this.#number(this.realValue(depth + 1))
      return sign === '-' ? -value : value
    }
    if (sign === '[') return this.#bracket(depth)
    if (sign === '#') return this.#variable()
    const written = /^[A-Z]+(?=\[)/.exec(this.#text.slice(this.at, this.at + 16))?.[0] ?? ''
    const name = this.#rules.spellings[written] ?? written
    if (!functionNames.has(name)) return this.#stop(this.at < this.#text.length ? `a number was expected at "${this.#text.slice(this.at, this.at + 20)}"` : 'it ends where a number was expected')
    this.at += written.length
    const argument = this.#number(this.#bracket(depth))
    if (name !== 'ATAN') return this.#apply(name, argument)
    if (this.#text.charAt(this.at) !== '/') return this.#stop('ATAN takes two values, ATAN[a]/[b]')
    this.at++
    return Math.atan2(argument, this.#number(this.#bracket(depth))) * 180 / Math.PI
  }

  /** Operands of this level of operators, taken together from left to right. */
  level(level: number, depth: number): number | undefined {
    const operand = () => level === 0 ? this.realValue(depth + 1) : this.level(level - 1, depth)
    let value = operand()
    for (;;) {
      const operator = this.fault === '' ? this.#operatorAt(level) : undefined
      if (operator === undefined) return value
      const right = operand()
      value = operator === 'EQ' || operator === 'NE' ? this.#compare(operator, value, right) : this.#combine(operator, this.#number(value), this.#number(right))
    }
  }

  #variable(): number | undefined {
    const { index, name } = this.target()
    if (this.fault !== '') return 0
    const source = this.#variables
    if (source === undefined || Number.isNaN(index) && name === '') return Number.NaN
    // #0 is the variable in which nothing is ever stored.
    const read: VariableValue = name !== '' ? source.readNamed(name) : index === 0 ? { value: undefined } : source.read(index)
    const shown = name !== '' ? `#<${name}>` : `#${index}`
    if (read.doubt === 'out-of-range') return this.#stop(`${shown} is beyond the variables of this control`)
    if (read.doubt !== undefined) this.#doubts.push({ name: shown, doubt: read.doubt })
    else if (read.value === undefined && index !== 0) this.#doubts.push({ name: shown, doubt: 'never-set' })
    return read.value
  }

  #bracket(depth: number): number | undefined {
    if (this.fault !== '') return 0
    if (this.#text.charAt(this.at) !== '[') return this.#stop(`"[" was expected at "${this.#text.slice(this.at, this.at + 20)}"`)
    this.at++
    const value = this.level(levels.length - 1, depth)
    if (this.fault === '' && this.#text.charAt(this.at) !== ']') return this.#stop(`an operator or "]" was expected at "${this.#text.slice(this.at, this.at + 20)}"`)
    this.at++
    return value
  }

  #operatorAt(level: number): string | undefined {
    for (const operator of levels[level] ?? []) {
      // "*" is not the first half of "**".
      if (!this.#text.startsWith(operator, this.at) || operator === '*' && this.#text.charAt(this.at + 1) === '*') continue
      this.at += operator.length
      return operator
    }
    return undefined
  }

  /** A vacant variable equals a vacant one only; a value that is not known leaves the answer unknown. */
  #compare(operator: 'EQ' | 'NE', a: number | undefined, b: number | undefined): number {
    if (a !== undefined && Number.isNaN(a) || b !== undefined && Number.isNaN(b)) return Number.NaN
    // Asking whether a variable is vacant is no use of its value.
    if (a === undefined || b === undefined) this.#doubts.splice(0, this.#doubts.length, ...this.#doubts.filter(each => each.doubt !== 'never-set'))
    return (a === b) === (operator === 'EQ') ? 1 : 0
  }

  #combine(operator: string, a: number, b: number): number {
    if (this.fault !== '') return 0
    if (Number.isNaN(a) || Number.isNaN(b)) return Number.NaN
    switch (operator) {
      case '**': return Number.isNaN(a ** b) ? this.#stop('a negative number has no broken power') : a ** b
      case '*': return a * b
      case '/': return b === 0 ? this.#stop('it divides by zero') : a / b
      case 'MOD': return b === 0 ? this.#stop('it divides by zero') : a - b * Math.floor(a / b)
      case '+': return a + b
      case '-': return a - b
      case 'OR': return a !== 0 || b !== 0 ? 1 : 0
      case 'XOR': return (a !== 0) !== (b !== 0) ? 1 : 0
      case 'AND': return a !== 0 && b !== 0 ? 1 : 0
      case 'GT': return a > b ? 1 : 0
      case 'GE': return a >= b ? 1 : 0
      case 'LT': return a < b ? 1 : 0
      default: return a <= b ? 1 : 0
    }
  }

  #apply(name: string, a: number): number {
    if (this.fault !== '') return 0
    if (Number.isNaN(a)) return a
    const degree = Math.PI / 180, isDown = this.#rules.fix === 'down'
    switch (name) {
      case 'ABS': return Math.abs(a)
      case 'ACOS': return Math.abs(a) > 1 ? this.#stop('ACOS takes values from -1 to 1') : Math.acos(a) / degree
      case 'ASIN': return Math.abs(a) > 1 ? this.#stop('ASIN takes values from -1 to 1') : Math.asin(a) / degree
      case 'COS': return Math.cos(a * degree)
      case 'EXP': return Math.exp(a)
      case 'FIX': return isDown ? Math.floor(a) : Math.trunc(a)
      case 'FUP': return isDown ? Math.ceil(a) : Math.sign(a) * Math.ceil(Math.abs(a))
      case 'LN': return a > 0 ? Math.log(a) : this.#stop('LN takes values above zero')
      case 'ROUND': return Math.sign(a) * Math.round(Math.abs(a))
      case 'SIN': return Math.sin(a * degree)
      case 'SQRT': return a < 0 ? this.#stop('a negative number has no square root') : Math.sqrt(a)
      default: return Math.tan(a * degree)
    }
  }

  /** A vacant variable counts as nought where it is reckoned with. */
  #number(value: number | undefined): number {
    return value ?? 0
  }

  #stop(because: string): number {
    if (this.fault === '') this.fault = because
    return 0
  }
}
