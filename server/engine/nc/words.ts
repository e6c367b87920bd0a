import type { Span } from '../../../shared/span.ts'
import { WordFlag } from './block.ts'
import type { Block, Word } from './block.ts'

// Words copied out of the block in hand, for messages and features. Not for the inner loop.

/** Copies the word out of the block. */
export function wordAt(block: Block, index: number): Word {
  return {
    letter: String.fromCharCode(block.letters[index] ?? 32),
    value: block.values[index] ?? Number.NaN,
    span: wordSpan(block, index),
    hasPoint: ((block.wordFlags[index] ?? 0) & WordFlag.point) !== 0,
  }
}

export function wordSpan(block: Block, index: number): Span {
  return { start: block.wordStart[index] ?? block.start, end: block.wordEnd[index] ?? block.end }
}

/** Index of the last word with the letter, or -1. */
export function findWord(block: Block, letter: string): number {
  const code = letter.charCodeAt(0)
  for (let i = block.count - 1; i >= 0; i--) if (block.letters[i] === code) return i
  return -1
}

/** Index of the last word with this letter and value (a code such as G43.4), or -1. */
export function findCode(block: Block, letter: string, value: number): number {
  const code = letter.charCodeAt(0)
  for (let i = block.count - 1; i >= 0; i--) {
    if (block.letters[i] === code && Math.abs((block.values[i] ?? Number.NaN) - value) < 1e-4) return i
  }
  return -1
}

/** N and its number; undefined where the block has none. */
export function sequenceSpan(block: Block): Span | undefined {
  return block.sequence < 0 ? undefined : { start: block.sequenceStart, end: block.sequenceEnd }
}

/** From the first word (or N) to the last: the line without its margins and comments. */
export function blockSpan(block: Block): Span {
  const sequence = sequenceSpan(block)
  const start = Math.min(sequence?.start ?? Infinity, block.count > 0 ? block.wordStart[0] ?? Infinity : Infinity)
  const end = Math.max(sequence?.end ?? -1, block.count > 0 ? block.wordEnd[block.count - 1] ?? -1 : -1)
  return end < 0 ? { start: block.start, end: block.end } : { start, end }
}
