// Works out expressions of plain numbers: NISTIR 6556 3.3.2.3 and 3.3.2.4. Three levels of binary
// operators, left to right inside a level; functions in degrees; truth is 1, falsehood 0. Variables
// are not worked out: whatever holds a # has no value here.

export type ExpressionAnswer =
  | { readonly kind: 'value', readonly value: number }
  /** It depends on a variable. */
  | { readonly kind: 'variable' }
  /** Why it has no value. */
  | { readonly kind: 'fault', readonly because: string }

/** Brackets inside brackets beyond this are not followed. */
const DEEPEST = 64
/** Longer expressions are not worked out. */
const LONGEST = 2000

/** Names that may stand before a bracket. */
export const functionNames: ReadonlySet<string> = new Set(['ABS', 'ACOS', 'ASIN', 'ATAN', 'COS', 'EXP', 'FIX', 'FUP', 'LN', 'ROUND', 'SIN', 'SQRT', 'TAN'])

/** The value of the text between the letter and the end of the word. Never throws. */
export function evaluateExpression(text: string): ExpressionAnswer {
  if (text.length > LONGEST) return { kind: 'fault', because: `it is longer than ${LONGEST} characters` }
  const plain = text.replace(/[ \t]/g, '').toUpperCase()
  if (plain.includes('#')) return { kind: 'variable' }
  const reader = new ExpressionReader(plain)
  const value = reader.realValue(0)
  if (reader.fault === '' && reader.at < plain.length) reader.fault = `"${plain.slice(reader.at, reader.at + 20)}" does not belong to it`
  if (reader.fault === '' && !Number.isFinite(value)) reader.fault = 'its value is too large'
  return reader.fault === '' ? { kind: 'value', value } : { kind: 'fault', because: reader.fault }
}

const levels: readonly (readonly string[])[] = [['**'], ['*', '/', 'MOD'], ['+', '-', 'OR', 'XOR', 'AND']]

class ExpressionReader {
  at = 0
  fault = ''
  readonly #text: string

  constructor(text: string) {
    this.#text = text
  }

  /** A number, a bracket or a function. */
  realValue(depth: number): number {
    if (this.fault !== '') return 0
    if (depth > DEEPEST) return this.#stop(`it holds more than ${DEEPEST} brackets inside each other`)
    const number = /^[+-]?(?:\d+\.?\d*|\.\d+)/.exec(this.#text.slice(this.at, this.at + 80))
    if (number !== null) {
      this.at += number[0].length
      return Number(number[0])
    }
    const sign = this.#text.charAt(this.at)
    if (sign === '-' || sign === '+') {
      this.at++
      return (sign === '-' ? -1 : 1) * this.realValue(depth + 1)
    }
    if (sign === '[') return this.#bracket(depth)
    const name = /^[A-Z]+/.exec(this.#text.slice(this.at, this.at + 8))?.[0] ?? ''
    if (!functionNames.has(name)) return this.#stop(this.at < this.#text.length ? `a number was expected at "${this.#text.slice(this.at, this.at + 20)}"` : 'it ends where a number was expected')
    this.at += name.length
    const argument = this.#bracket(depth)
    if (name !== 'ATAN') return this.#apply(name, argument)
    if (this.#text.charAt(this.at) !== '/') return this.#stop('ATAN takes two values, ATAN[a]/[b]')
    this.at++
    return Math.atan2(argument, this.#bracket(depth)) * 180 / Math.PI
  }

  #bracket(depth: number): number {
    if (this.fault !== '') return 0
    if (this.#text.charAt(this.at) !== '[') return this.#stop(`"[" was expected at "${this.#text.slice(this.at, this.at + 20)}"`)
    this.at++
    const value = this.#level(levels.length - 1, depth)
    if (this.fault === '' && this.#text.charAt(this.at) !== ']') return this.#stop(`an operator or "]" was expected at "${this.#text.slice(this.at, this.at + 20)}"`)
    this.at++
    return value
  }

  /** Operands of this level of operators, taken together from left to right. */
  #level(level: number, depth: number): number {
    const operand = () => level === 0 ? this.realValue(depth + 1) : this.#level(level - 1, depth)
    let value = operand()
    for (;;) {
      const operator = this.fault === '' ? levels[level]?.find(each => this.#startsWith(each)) : undefined
      if (operator === undefined) return value
      this.at += operator.length
      value = this.#combine(operator, value, operand())
    }
  }

  #startsWith(operator: string): boolean {
    // "*" is not the first half of "**".
    return this.#text.startsWith(operator, this.at) && !(operator === '*' && this.#text.charAt(this.at + 1) === '*')
  }

  #combine(operator: string, a: number, b: number): number {
    if (this.fault !== '') return 0
    switch (operator) {
      case '**': return Number.isNaN(a ** b) ? this.#stop('a negative number has no broken power') : a ** b
      case '*': return a * b
      case '/': return b === 0 ? this.#stop('it divides by zero') : a / b
      case 'MOD': return b === 0 ? this.#stop('it divides by zero') : a - b * Math.floor(a / b)
      case '+': return a + b
      case '-': return a - b
      case 'OR': return a !== 0 || b !== 0 ? 1 : 0
      case 'XOR': return (a !== 0) !== (b !== 0) ? 1 : 0
      default: return a !== 0 && b !== 0 ? 1 : 0
    }
  }

  #apply(name: string, a: number): number {
    if (this.fault !== '') return 0
    const degree = Math.PI / 180
    switch (name) {
      case 'ABS': return Math.abs(a)
      case 'ACOS': return Math.abs(a) > 1 ? this.#stop('ACOS takes values from -1 to 1') : Math.acos(a) / degree
      case 'ASIN': return Math.abs(a) > 1 ? this.#stop('ASIN takes values from -1 to 1') : Math.asin(a) / degree
      case 'COS': return Math.cos(a * degree)
      case 'EXP': return Math.exp(a)
      case 'FIX': return Math.floor(a)
      case 'FUP': return Math.ceil(a)
      case 'LN': return a > 0 ? Math.log(a) : this.#stop('LN takes values above zero')
      case 'ROUND': return Math.sign(a) * Math.round(Math.abs(a))
      case 'SIN': return Math.sin(a * degree)
      case 'SQRT': return a < 0 ? this.#stop('a negative number has no square root') : Math.sqrt(a)
      default: return Math.tan(a * degree)
    }
  }

  #stop(because: string): number {
    if (this.fault === '') this.fault = because
    return 0
  }
}
