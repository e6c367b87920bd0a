import { joinSpans, type Span } from '../../../shared/span.ts'
import { axisLetters } from '../nc/addresses.ts'
import type { Block } from '../nc/block.ts'
import { blockSpan, findCode, findWord, wordSpan } from '../nc/words.ts'
import type { BlockStep } from './rule.ts'

// How the rules look at a block that moves the tool.

/** What asks for the motion: the code G0 to G3 if the block has one, else its axis words, else all its words. */
export function motionSpan(block: Block): Span {
  const code = motionCode(block)
  return code < 0 ? axisWordsSpan(block) : wordSpan(block, code)
}

/** The word that has this letter, else what asks for the motion. */
export function wordOrMotionSpan(block: Block, letter: string): Span {
  const word = findWord(block, letter)
  return word < 0 ? motionSpan(block) : wordSpan(block, word)
}

/** From the first word with one of the letters to the last; all words where there is none. */
export function axisWordsSpan(block: Block, letters: string = axisLetters): Span {
  let span: Span | undefined
  for (let i = 0; i < block.count; i++) {
    if (!letters.includes(String.fromCharCode(block.letters[i] ?? 0))) continue
    const word = wordSpan(block, i)
    span = span === undefined ? word : joinSpans(span, word)
  }
  return span ?? blockSpan(block)
}

/** A subject for messages: "G1", or "This block" where the code comes from an earlier one. */
export function motionName(block: Block): string {
  const code = motionCode(block)
  return code < 0 ? 'This block' : `G${block.values[code]}`
}

/** The block moves the tool at a feed: a line or an arc, no return to the home position. */
export function isCutting({ block, after, firstMotion, endMotion }: BlockStep): boolean {
  const { motion } = after
  if (endMotion === firstMotion || motion === undefined || motion < 1 || motion > 3) return false
  return !isReturnHome(block)
}

/** G28 or G30: a rapid by way of a point to a place fixed in the machine. */
export function isReturnHome(block: Block): boolean {
  return findCode(block, 'G', 28) >= 0 || findCode(block, 'G', 30) >= 0
}

/** G53: the words are machine coordinates. */
export function isMachineMove(block: Block): boolean {
  return findCode(block, 'G', 53) >= 0
}

function motionCode(block: Block): number {
  for (const code of [0, 1, 2, 3]) {
    const word = findCode(block, 'G', code)
    if (word >= 0) return word
  }
  return -1
}
