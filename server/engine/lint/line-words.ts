import type { Machine } from '../../../shared/machine.ts'
import type { Span } from '../../../shared/span.ts'
import { BlockReader } from '../nc/block-reader.ts'
import { wordSpan, findWord } from '../nc/words.ts'
import { axisWordsSpan, motionSpan } from './motion-words.ts'

/** Finds the words of a line again, for rules that look at finished motions. */
export class LineWords {
  readonly #reader: BlockReader

  constructor(text: string, machine: Machine, lineStarts: Uint32Array) {
    // The faults of the text have been reported when it was run.
    this.#reader = new BlockReader(text, { wholeNumber: machine.control.wholeNumber, lineStarts }, () => {})
  }

  /** The word of the line with this letter, else what asks for the motion of that axis. */
  wordSpan(line: number, letter: string): Span {
    const block = this.#read(line)
    if (block === undefined) return { start: 0, end: 0 }
    const word = findWord(block, letter)
    if (word >= 0) return wordSpan(block, word)
    // A rotary axis without a word of its own was turned by the tool vector.
    const isVector = 'ABC'.includes(letter) && ['I', 'J', 'K'].some(each => findWord(block, each) >= 0)
    return isVector ? axisWordsSpan(block, 'IJK') : motionSpan(block)
  }

  /** From the line's first word with one of these letters to its last. */
  wordsSpan(line: number, letters: string): Span {
    const block = this.#read(line)
    return block === undefined ? { start: 0, end: 0 } : axisWordsSpan(block, letters)
  }

  /** "N120" where the line has a number, else "line 12". */
  name(line: number): string {
    const block = this.#read(line)
    return block !== undefined && block.sequence >= 0 ? `N${block.sequence}` : `line ${line + 1}`
  }

  #read(line: number) {
    this.#reader.seek(line)
    return this.#reader.next()
  }
}
