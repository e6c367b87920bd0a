import type { Control } from '../../../shared/machine.ts'
import type { Problem, Report } from '../../../shared/problem.ts'
import { addressOf, countsIncrements } from './addresses.ts'
import { WordFlag } from './block.ts'
import type { Block } from './block.ts'
import { evaluateExpression, evaluateSetting } from './expression.ts'
import type { ExpressionAnswer } from './expression.ts'
import { followed, readFlow } from './flow-words.ts'
import { lineStartsOf } from './line-index.ts'
import { NumberReader } from './number-reader.ts'
import { binaryAt } from './program-text.ts'
import { commentEnd, commentStart, expressionEnd, isControlFlow, letterRunEnd, numberEnd, openBracket, startsFunction, startsNumber, strayEnd } from './skip-text.ts'
import { syntaxErrors } from './syntax-errors.ts'
import type { ExpressionRules, VariableSource } from './variables.ts'

/** Words of one block; no control takes as many. */
const MOST_WORDS = 128
/** Problems told one by one in a line before its rest is left out. */
const MOST_PROBLEMS_IN_LINE = 4

export interface ReaderOptions {
  readonly wholeNumber: Control['wholeNumber']
  /** Only needed by `seek`; worked out there when absent. */
  readonly lineStarts?: Uint32Array
  /** The variables of the control as they stand before the block; absent: words that use them are not known. */
  readonly variables?: VariableSource
  readonly expressions?: ExpressionRules
  /** Whether the control has IF, GOTO and WHILE. */
  readonly followsFlow?: boolean
}

/**
 * Reads a program line by line into one record that is used again. Never throws: what cannot be
 * read is reported and left out, and the next line is read normally.
 *
 *   N120 G1 X12.5 Y-.4 (TOWARDS THE LIP) F600
 *   ^sequence ^words    ^comment         ^word
 */
export class BlockReader {
  readonly #text: string
  readonly #report: Report
  readonly #number = new NumberReader()
  /** What a whole number counts, in the program's unit. */
  readonly #increment: number
  readonly #options: ReaderOptions
  #lineStarts: Uint32Array | undefined
  #at = 0
  #line = 0
  #problems = 0
  /** The record that `next` fills. */
  readonly block: Block = {
    line: 0, start: 0, end: 0, skip: false, skipLevel: 0, sequence: -1, sequenceStart: 0, sequenceEnd: 0, percent: false, count: 0,
    letters: new Uint8Array(MOST_WORDS), values: new Float64Array(MOST_WORDS), wordStart: new Int32Array(MOST_WORDS),
    wordEnd: new Int32Array(MOST_WORDS), wordFlags: new Uint8Array(MOST_WORDS), unreadable: 0, comments: [], settings: [], flow: undefined,
  }

  constructor(text: string, options: ReaderOptions, report: Report) {
    this.#text = text
    this.#report = report
    this.#options = options
    this.#lineStarts = options.lineStarts
    this.#increment = options.wholeNumber.as === 'increments' ? options.wholeNumber.increment : 1
    const binary = binaryAt(text)
    if (binary !== undefined) {
      report({ ...syntaxErrors.noProgramText(binary.odd, binary.looked), span: binary.span })
      this.#at = text.length
    } else if (text.charCodeAt(0) === 0xfeff) {
      this.#at = 1
    }
  }

  /** The next line that is not blank, or undefined at the end. The record is the same each time. */
  next(): Block | undefined {
    const block = this.block
    while (this.#at < this.#text.length) {
      this.#readLine()
      if (block.count > 0 || block.sequence >= 0 || block.percent || block.skip || block.unreadable !== 0 || block.comments.length > 0 || block.settings.length > 0 || block.flow !== undefined) return block
    }
    return undefined
  }

  /** The 0-based line that is read next. */
  get nextLine(): number { return this.#line }

  /** Goes on at the start of a 0-based line. */
  seek(line: number): void {
    this.#lineStarts ??= lineStartsOf(this.#text)
    this.#line = Math.max(0, Math.min(line, this.#lineStarts.length - 2))
    this.#at = line >= this.#lineStarts.length - 1 ? this.#text.length : this.#lineStarts[this.#line] ?? 0
    if (this.#at === 0 && this.#text.charCodeAt(0) === 0xfeff) this.#at = 1
  }

  #readLine(): void {
    const text = this.#text, limit = text.length, block = this.block
    block.line = this.#line
    block.start = this.#at
    block.skip = false
    block.skipLevel = 0
    block.sequence = -1
    block.percent = false
    block.count = 0
    block.unreadable = 0
    if (block.comments.length > 0) block.comments.length = 0
    if (block.settings.length > 0) block.settings.length = 0
    block.flow = undefined
    this.#problems = 0
    let at = this.#at
    while (at < limit) {
      const code = text.charCodeAt(at)
      if (code === 32 || code === 9) at++
      else if (code === 10 || code === 13) break
      else if (code >= 65 && code <= 90) at = this.#readWord(code, at)
      else if (code >= 97 && code <= 122) at = this.#readWord(code - 32, at)
      else at = this.#readMark(code, at)
      if (this.#problems > MOST_PROBLEMS_IN_LINE) at = this.#leaveOutRest(at)
    }
    block.end = at
    if (block.count > 0 || block.sequence >= 0) block.percent = false
    this.#line++
    this.#at = text.charCodeAt(at) === 13 && text.charCodeAt(at + 1) === 10 ? at + 2 : at + 1
  }

  /** A letter and its number; returns the offset to go on at. */
  #readWord(letter: number, start: number): number {
    const text = this.#text, number = this.#number
    number.read(text, start + 1, text.length)
    const next = number.next
    if (number.fault !== 'none') return this.#recover(letter, start, next)
    if (letter === 78) return this.#readSequence(start, number.end, next)
    if (addressOf(letter) === undefined && !this.#takesArguments()) {
      this.#tell(syntaxErrors.unknownLetter(text.slice(start, number.end)), start, number.end)
      return next
    }
    let value = number.value
    if (this.#increment !== 1 && !number.hasPoint && countsIncrements(letter)) value = inIncrements(value, this.#increment)
    const flags = (number.hasPoint ? WordFlag.point : 0) | (number.hasSign ? WordFlag.sign : 0)
    return this.#addWord(letter, value, start, number.end, flags) ? next : this.#skipManyWords(start)
  }

  /** Whether the words are arguments of a macro call (G65, G66), where every letter has a meaning. */
  #takesArguments(): boolean {
    const { letters, values, count } = this.block
    for (let i = 0; i < count; i++) if (letters[i] === 71 && (values[i] === 65 || values[i] === 66)) return true
    return false
  }

  #addWord(letter: number, value: number, start: number, end: number, flags: number): boolean {
    const block = this.block, i = block.count
    if (i === MOST_WORDS) return false
    block.letters[i] = letter
    block.values[i] = value
    block.wordStart[i] = start
    block.wordEnd[i] = end
    block.wordFlags[i] = flags
    block.count = i + 1
    return true
  }

  /** A letter whose number could not be read: an expression, a keyword, or a fault. */
  #recover(letter: number, start: number, next: number): number {
    const text = this.#text, { fault, end } = this.#number
    const code = text.charCodeAt(next)
    if (fault === 'no-digits' && end <= start + 2 && (code === 35 || code === 91 || startsFunction(text, next))) return this.#readExpression(letter, start, next)
    const unreadable = 1 << letter - 65
    if (end > start + 1) {
      this.block.unreadable |= unreadable
      const word = text.slice(start, Math.min(end, start + 60))
      if (fault === 'two-points') this.#tell(syntaxErrors.twoPoints(word), start, end)
      else if (fault === 'sign-inside') this.#tell(syntaxErrors.signInside(word), start, end)
      else if (fault === 'too-many-digits') this.#tell(syntaxErrors.tooManyDigits(word, this.#number.digits), start, end)
      else this.#tell(syntaxErrors.noDigits(word), start, end)
      return next
    }
    const runEnd = letterRunEnd(text, start)
    if (this.#options.followsFlow === true && followed.has(text.slice(start, runEnd).toUpperCase())) return this.#readFlow(start, runEnd)
    if (isControlFlow(text, start, runEnd)) {
      const lineEnd = this.#lineEnd(runEnd)
      const stop = commentStart(text, runEnd, lineEnd)
      this.#tell(syntaxErrors.controlFlow(text.slice(start, Math.min(stop, start + 60)).trimEnd()), start, stop)
      return stop
    }
    const name = letterRunEnd(text, next)
    if (name - next >= 2 && text.charCodeAt(name) === 91) {
      // "X ASIM[0.5]": a function that does not exist takes its bracket along.
      const stop = expressionEnd(text, name)
      this.block.unreadable |= unreadable
      this.#tell(syntaxErrors.letterRun(text.slice(start, Math.min(stop, start + 60))), start, stop)
      return stop
    }
    // In "GX10" only the G lacks its number; three letters and more are a name and take their number along.
    const isName = runEnd - start > 2 || !startsNumber(text, runEnd)
    const stop = isName ? numberEnd(text, runEnd) : start + 1
    this.block.unreadable |= unreadable
    if (stop === start + 1) this.#tell(syntaxErrors.letterAlone(String.fromCharCode(letter)), start, stop)
    else this.#tell(syntaxErrors.letterRun(text.slice(start, Math.min(stop, start + 60))), start, stop)
    return stop
  }

  #readExpression(letter: number, start: number, from: number): number {
    const text = this.#text
    const end = expressionEnd(text, from)
    const open = openBracket(text, from, end)
    if (open >= 0) {
      this.block.unreadable |= 1 << letter - 65
      this.#tell(syntaxErrors.unclosedBracket(), open, open + 1)
      return end
    }
    const word = text.slice(start, Math.min(end, start + 60))
    if (addressOf(letter) === undefined && !this.#takesArguments()) {
      this.#tell(syntaxErrors.unknownLetter(word), start, end)
      return end
    }
    if (letter === 78) {
      this.#tell(syntaxErrors.sequenceNumber(word), start, end)
      return end
    }
    const answer = this.#evaluate(start + 1, end)
    this.#tellAnswer(answer, word, start, end)
    // A variable in which nothing is stored takes its word away (common practice).
    if (answer.kind === 'vacant') return end
    const isKnown = answer.kind === 'value'
    return this.#addWord(letter, isKnown ? answer.value : Number.NaN, start, end, isKnown ? WordFlag.evaluated | WordFlag.point : WordFlag.unknown) ? end : this.#skipManyWords(start)
  }

  #evaluate(start: number, end: number): ExpressionAnswer {
    return evaluateExpression(this.#text.slice(start, end), this.#options.variables, this.#options.expressions)
  }

  /** Says what is doubtful about the value of [start, end). */
  #tellAnswer(answer: ExpressionAnswer, word: string, start: number, end: number): void {
    for (const { name, doubt } of answer.doubts) {
      if (doubt === 'never-set') this.#tell(syntaxErrors.neverSet(name, answer.kind === 'variable'), start, end)
      else this.#tell(syntaxErrors.systemVariable(name), start, end)
    }
    if (answer.kind === 'fault') this.#tell(syntaxErrors.valueless(word, answer.because), start, end)
    else if (answer.kind === 'variable' && this.#options.variables === undefined) this.#tell(syntaxErrors.variable(word), start, end)
    else if (answer.kind === 'variable' && answer.doubts.length === 0) this.#tell(syntaxErrors.unknownValue(word), start, end)
  }

  /** `#3 = 15`: kept in the block, stored when its words have taken effect. */
  #readSetting(at: number): number {
    const text = this.#text, variables = this.#options.variables
    const stretch = expressionEnd(text, at), open = openBracket(text, at, stretch)
    if (open >= 0) {
      this.#tell(syntaxErrors.unclosedBracket(), open, open + 1)
      return stretch
    }
    const setting = variables === undefined ? undefined : evaluateSetting(text.slice(at, this.#lineEnd(at)), variables, this.#options.expressions)
    if (setting === undefined) {
      const word = text.slice(at, Math.min(stretch, at + 60))
      this.#tell(variables === undefined ? syntaxErrors.assignment(word) : syntaxErrors.strayText(word), at, stretch)
      return stretch
    }
    const end = setting.answer.kind === 'fault' ? stretch : at + setting.length
    this.#tellAnswer(setting.answer, text.slice(at, Math.min(end, at + 60)), at, end)
    const value = setting.answer.kind === 'value' ? setting.answer.value : setting.answer.kind === 'vacant' ? undefined : Number.NaN
    if (!Number.isNaN(setting.index) || setting.name !== '') this.block.settings.push({ index: setting.index, name: setting.name, value, start: at, end })
    return end
  }

  #readFlow(start: number, runEnd: number): number {
    const text = this.#text
    const answer = readFlow(text, start, runEnd, (from, to) => {
      const value = this.#evaluate(from, to)
      this.#tellAnswer(value, text.slice(from, Math.min(to, from + 60)), from, to)
      return value.kind === 'value' ? value.value : value.kind === 'vacant' ? 0 : value.kind === 'fault' ? undefined : Number.NaN
    })
    if (answer.kind === 'flow') {
      this.block.flow = answer.flow
      if (Number.isNaN(answer.flow.number) || answer.flow.holds === undefined) this.#tell(syntaxErrors.unknownFlow(text.slice(start, Math.min(answer.next, start + 60))), start, answer.next)
      return answer.next
    }
    if (answer.kind === 'go-on') return answer.skipsRest ? commentStart(text, answer.next, this.#lineEnd(answer.next)) : answer.next
    const stop = commentStart(text, answer.end, this.#lineEnd(answer.end))
    const shownText = text.slice(start, Math.min(stop, start + 60))
    if (answer.kind === 'unknown') this.#tell(syntaxErrors.unknownFlow(shownText), start, stop)
    else this.#tell(syntaxErrors.malformedFlow(shownText, answer.expected), start, stop)
    return stop
  }

  #readSequence(start: number, end: number, next: number): number {
    const block = this.block, { value, hasPoint, hasSign } = this.#number
    if (hasPoint || hasSign) this.#tell(syntaxErrors.sequenceNumber(this.#text.slice(start, end)), start, end)
    else if (block.sequence >= 0) this.#tell(syntaxErrors.secondSequence(this.#text.slice(start, end)), start, end)
    else {
      block.sequence = value
      block.sequenceStart = start
      block.sequenceEnd = end
    }
    return next
  }

  /** Everything that begins with no letter; returns the offset to go on at. */
  #readMark(code: number, at: number): number {
    const text = this.#text, block = this.block
    if (code === 40) return this.#readComment(at)
    if (code === 59) {
      const end = this.#lineEnd(at)
      block.comments.push({ start: at, end })
      return end
    }
    if (code === 47) {
      if (block.count > 0 || block.skip || block.unreadable !== 0) {
        this.#tell(syntaxErrors.skipInside(), at, at + 1)
        return at + 1
      }
      block.skip = true
      // Controls with several skip switches number them.
      const isNumbered = isDigit(text.charCodeAt(at + 1))
      block.skipLevel = isNumbered ? text.charCodeAt(at + 1) - 48 : 1
      return isNumbered ? at + 2 : at + 1
    }
    if (code === 37) {
      if (block.count > 0 || block.sequence >= 0 || block.percent) this.#tell(syntaxErrors.percentInside(), at, at + 1)
      block.percent = block.count === 0 && block.sequence < 0
      return at + 1
    }
    // The alignment character of ISO 6983-1 heads a program like O.
    if (code === 58 && block.count === 0 && isDigit(text.charCodeAt(at + 1))) return this.#readWord(79, at)
    if (code === 35) return this.#readSetting(at)
    if (code === 44) return this.#readCornerWord(at)
    if (code === 91) {
      const end = expressionEnd(text, at)
      const open = openBracket(text, at, end)
      if (open >= 0) this.#tell(syntaxErrors.unclosedBracket(), open, open + 1)
      else this.#tell(syntaxErrors.strayText(text.slice(at, Math.min(end, at + 60))), at, end)
      return end
    }
    const end = strayEnd(text, at)
    this.#tell(syntaxErrors.strayText(text.slice(at, Math.min(end, at + 60))), at, end)
    return end
  }

  #readComment(at: number): number {
    const end = commentEnd(this.#text, at)
    if (end < 0) {
      const lineEnd = this.#lineEnd(at)
      this.#tell(syntaxErrors.unclosedComment(), at, at + 1)
      this.block.comments.push({ start: at, end: lineEnd })
      return lineEnd
    }
    const inner = this.#text.indexOf('(', at + 1)
    if (inner > 0 && inner < end) this.#tell(syntaxErrors.nestedComment(), inner, inner + 1)
    this.block.comments.push({ start: at, end })
    return end
  }

  /** `,R2` and `,C2` ask for a rounded or chamfered corner on many controls. */
  #readCornerWord(at: number): number {
    const text = this.#text, letter = text.charCodeAt(at + 1) & ~32
    if (letter === 67 || letter === 82) {
      this.#number.read(text, at + 2, text.length)
      const { fault, end, next } = this.#number
      if (fault === 'none') {
        this.#tell(syntaxErrors.cornerWord(text.slice(at, end)), at, end)
        return next
      }
    }
    this.#tell(syntaxErrors.strayText(','), at, at + 1)
    return at + 1
  }

  #skipManyWords(start: number): number {
    const end = this.#lineEnd(start)
    this.#tell(syntaxErrors.tooManyWords(MOST_WORDS, end - start), start, start + 1)
    return end
  }

  #leaveOutRest(at: number): number {
    const end = this.#lineEnd(at)
    if (end > at) this.#tell(syntaxErrors.restOfLine(end - at), at, end)
    this.#problems = 0
    return end
  }

  #lineEnd(from: number): number {
    let at = from
    for (; at < this.#text.length; at++) {
      const code = this.#text.charCodeAt(at)
      if (code === 10 || code === 13) break
    }
    return at
  }

  #tell(wording: Pick<Problem, 'rule' | 'message'>, start: number, end: number): void {
    this.#problems++
    this.#report({ ...wording, span: { start, end } })
  }
}

/** 1234 increments of 0.001 are 1.234 and not a neighbour of it: dividing by 1000 rounds once. */
function inIncrements(count: number, increment: number): number {
  const perUnit = Math.round(1 / increment)
  return perUnit > 1 && Math.abs(perUnit * increment - 1) < 1e-9 ? count / perUnit : count * increment
}

function isDigit(code: number): boolean {
  return code >= 48 && code <= 57
}
