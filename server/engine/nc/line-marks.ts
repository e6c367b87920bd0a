import { functionNames } from './expression.ts'
import { commentEnd, letterRunEnd } from './skip-text.ts'

// What stands where in one line, without working anything out: for the editor, which has to look at lines that
// are still being typed. Words come out as the block reader has them; expressions come out piece by piece.

/** A stretch [from, to) of a line, in UTF-16 code units from its start. */
interface Stretch { readonly from: number, readonly to: number }

export type Mark = Stretch & (
  /** A letter and its number; `value` is NaN where an expression stands behind the letter, or nothing yet. */
  | { readonly kind: 'word', readonly letter: string, readonly value: number, readonly isPlain: boolean }
  /** `#5` or `#<name>`; `name` as it is written without blanks, in upper case. `isSet`: something is stored there. */
  | { readonly kind: 'variable', readonly name: string, readonly isSet: boolean }
  /** IF, GOTO, WHILE, DO, END, THEN. */
  | { readonly kind: 'keyword', readonly word: string }
  /** A number that belongs to no letter: in an expression, behind `=`, behind GOTO, DO and END. */
  | { readonly kind: 'number', readonly value: number }
  | { readonly kind: 'function', readonly word: string }
  | { readonly kind: 'operator' | 'comment' | 'skip' | 'tape' | 'stray' }
)

const keywords = new Set(['IF', 'THEN', 'GOTO', 'WHILE', 'DO', 'END'])
const operators = new Set(['MOD', 'OR', 'XOR', 'AND', 'EQ', 'NE', 'GT', 'GE', 'LT', 'LE'])

/** A sign, digits and a point, with blanks between them (NISTIR 6556 3.3: they mean nothing). */
const numberText = /[-+]?(?:[ \t]*[\d.])+/y
const variableText = /#[ \t]*(?:\d[\d \t]*|<[^>\r\n]*>)/y

/** The marks of a line, in order, none over another. Blanks are left out. */
export function marksOf(line: string): Mark[] {
  const marks: Mark[] = []
  let at = 0, depth = 0
  const add = (mark: Mark) => {
    marks.push(mark)
    at = mark.to
  }
  while (at < line.length) {
    const code = line.charCodeAt(at)
    if (code === 32 || code === 9) at++
    else if (code === 40) add({ kind: 'comment', from: at, to: withDefault(commentEnd(line, at), line.length) })
    else if (code === 59) add({ kind: 'comment', from: at, to: line.length })
    else if (isLetter(code)) add(lettersAt(line, at, depth))
    else if (code === 35) add(variableAt(line, at))
    else if (code === 58 && marks.every(mark => mark.kind === 'skip')) add(wordAt(line, at, 'O'))
    else if (code === 37) add({ kind: 'tape', from: at, to: at + 1 })
    else if (code === 47 && marks.length === 0) add({ kind: 'skip', from: at, to: /\d/.test(line.charAt(at + 1)) ? at + 2 : at + 1 })
    else if (isDigit(code) || code === 46) add(numberAt(line, at))
    else {
      if (code === 91) depth++
      else if (code === 93) depth = Math.max(0, depth - 1)
      add({ kind: '[]=+-*/,<>'.includes(line.charAt(at)) ? 'operator' : 'stray', from: at, to: at + 1 })
    }
  }
  return marks
}

/** The mark a column touches: the one it stands in, else the one that ends there. */
export function markAt(marks: readonly Mark[], column: number): Mark | undefined {
  return marks.find(({ from, to }) => column >= from && column < to) ?? marks.find(({ to }) => column === to)
}

function lettersAt(line: string, at: number, depth: number): Mark {
  const runEnd = letterRunEnd(line, at), run = line.slice(at, runEnd).toUpperCase()
  if (keywords.has(run)) return { kind: 'keyword', word: run, from: at, to: runEnd }
  if (line.charAt(runEnd) === '[' && functionNames.has(run)) return { kind: 'function', word: run, from: at, to: runEnd }
  if (depth > 0 && operators.has(run)) return { kind: 'operator', from: at, to: runEnd }
  // "XSIN[30]": the letter belongs to the word, the rest is the function's name.
  return wordAt(line, at, line.charAt(at).toUpperCase())
}

function wordAt(line: string, at: number, letter: string): Mark {
  const number = matchAt(numberText, line, skipBlanks(line, at + 1))
  if (number === undefined) return { kind: 'word', letter, value: Number.NaN, isPlain: false, from: at, to: at + 1 }
  return { kind: 'word', letter, value: valueOf(number.text), isPlain: true, from: at, to: number.to }
}

function numberAt(line: string, at: number): Mark {
  const number = matchAt(numberText, line, at)
  return { kind: 'number', value: valueOf(number?.text ?? ''), from: at, to: number?.to ?? at + 1 }
}

function variableAt(line: string, at: number): Mark {
  const variable = matchAt(variableText, line, at)
  // "##2" and "#[1+2]" are reached by what is worked out: no name of their own.
  if (variable === undefined) return { kind: 'operator', from: at, to: at + 1 }
  const to = at + variable.text.trimEnd().length, after = skipBlanks(line, to)
  const name = variable.text.replace(/[ \t]/g, '').toUpperCase().replace(/^#0+(?=\d)/, '#')
  return { kind: 'variable', name, isSet: line.charAt(after) === '=', from: at, to }
}

function matchAt(pattern: RegExp, line: string, at: number): { readonly text: string, readonly to: number } | undefined {
  pattern.lastIndex = at
  const found = pattern.exec(line)
  return found === null ? undefined : { text: found[0], to: at + found[0].length }
}

function valueOf(text: string): number {
  const digits = text.replace(/[ \t]/g, '')
  return /\d/.test(digits) ? Number(digits) : Number.NaN
}

function skipBlanks(line: string, from: number): number {
  let at = from
  while (line.charCodeAt(at) === 32 || line.charCodeAt(at) === 9) at++
  return at
}

function withDefault(end: number, other: number): number {
  return end < 0 ? other : end
}

function isLetter(code: number): boolean {
  return code >= 65 && code <= 90 || code >= 97 && code <= 122
}

function isDigit(code: number): boolean {
  return code >= 48 && code <= 57
}
