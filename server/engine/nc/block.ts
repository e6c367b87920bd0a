import type { Span } from '../../../shared/span.ts'
import type { Flow } from './flow-words.ts'
import type { Setting } from './variables.ts'

// One block of a program, read into a record that is used again for the next one: a program of a
// million blocks is never held as objects. Whoever wants to keep something copies it out.

/** Bits of `Block.wordFlags`. */
export const WordFlag = {
  /** The number was written with a decimal point. */
  point: 1,
  /** The number carries a sign. */
  sign: 2,
  /** The value comes from an expression or variable that was not evaluated. */
  unknown: 4,
  /** The value was worked out from an expression of plain numbers. */
  evaluated: 8,
} as const

/** A word copied out of a block, for messages and features. */
export interface Word {
  readonly letter: string
  readonly value: number
  readonly span: Span
  readonly hasPoint: boolean
}

/**
 * The block in hand. Words stand in the order of the text; words that could not be read are left
 * out (a problem has been reported for each). Offsets count UTF-16 code units from the start of the text.
 */
export interface Block {
  /** 0-based line of the program. */
  line: number
  /** Offsets of the line without its line end. */
  start: number
  end: number
  /** The block begins with `/`. */
  skip: boolean
  /** The number of its skip switch: `/2` is 2, `/` is 1; 0 without one. */
  skipLevel: number
  /** Sequence number after N, or -1. */
  sequence: number
  /** Offsets of N and its number, where there is one. */
  sequenceStart: number
  sequenceEnd: number
  /** The line is a lone `%`. */
  percent: boolean
  /** Words without N. */
  count: number
  /** Upper-case letter codes, `'G'.charCodeAt(0)`. */
  readonly letters: Uint8Array
  readonly values: Float64Array
  readonly wordStart: Int32Array
  readonly wordEnd: Int32Array
  readonly wordFlags: Uint8Array
  /** Letters of words that were left out because they could not be read: bit 0 is A, bit 25 is Z. */
  unreadable: number
  /** Comments with their brackets or semicolon, in order; empty for most blocks. */
  comments: Span[]
  /** Variables the block sets, in order; empty for most blocks. */
  settings: Setting[]
  /** The jump or loop of the block. */
  flow: Flow | undefined
}
