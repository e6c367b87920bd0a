import { numberAt } from './read-ascii-stl.ts'

const NEWLINE = 10, RETURN = 13, SPACE = 32, BACKSLASH = 92

/** Words between white space, one after the other, without making text of them. */
export class WordReader {
  readonly bytes: Uint8Array
  /** Where reading goes on. */
  at: number
  /** The word last read: [start, end). */
  start = 0
  end = 0

  constructor(bytes: Uint8Array, at = 0) {
    this.bytes = bytes
    this.at = at
  }

  /** The next word, on whatever line. */
  next(): boolean {
    const bytes = this.bytes, length = bytes.length
    let at = this.at
    while (at < length && bytes[at] <= SPACE) at++
    return this.#word(at)
  }

  /** The next word of this line; a backslash at the end of a line goes on in the next one. */
  nextInLine(): boolean {
    const bytes = this.bytes, length = bytes.length
    let at = this.at
    for (; at < length; at++) {
      const byte = bytes[at]
      if (byte === BACKSLASH && isLineEnd(bytes[at + 1])) {
        at += bytes[at + 1] === RETURN && bytes[at + 2] === NEWLINE ? 2 : 1
        continue
      }
      if (isLineEnd(byte) || byte > SPACE) break
    }
    if (at >= length || isLineEnd(bytes[at])) {
      this.at = this.start = this.end = at
      return false
    }
    return this.#word(at)
  }

  /** Behind the end of this line. */
  skipLine(): void {
    const bytes = this.bytes
    while (this.at < bytes.length && !isLineEnd(bytes[this.at])) this.at++
    if (bytes[this.at] === RETURN && bytes[this.at + 1] === NEWLINE) this.at++
    this.at++
  }

  get isAtEnd(): boolean {
    return this.at >= this.bytes.length
  }

  is(word: string): boolean {
    if (this.end - this.start !== word.length) return false
    for (let i = 0; i < word.length; i++) if (this.bytes[this.start + i] !== word.charCodeAt(i)) return false
    return true
  }

  /** The number the word stands for; NaN for its spellings of one that is none; undefined where it is no number. */
  number(): number | undefined {
    return numberAt(this.bytes, this.start, this.end)
  }

  /** The word, cut short and made safe to show. */
  word(): string {
    return String.fromCharCode(...this.bytes.subarray(this.start, Math.min(this.end, this.start + 24))).replace(/[^\u0020-\u007e]/g, '?')
  }

  /** Line of the word, from 1. */
  line(): number {
    let line = 1
    for (let i = 0; i < this.start; i++) if (this.bytes[i] === NEWLINE || (this.bytes[i] === RETURN && this.bytes[i + 1] !== NEWLINE)) line++
    return line
  }

  #word(from: number): boolean {
    const bytes = this.bytes, length = bytes.length
    let at = from
    while (at < length && bytes[at] > SPACE && !(bytes[at] === BACKSLASH && isLineEnd(bytes[at + 1]))) at++
    this.start = from
    this.end = this.at = at
    return at > from
  }
}

function isLineEnd(byte: number): boolean {
  return byte === NEWLINE || byte === RETURN
}
