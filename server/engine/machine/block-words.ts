import type { Block } from '../nc/block.ts'
import type { Code, Effect } from '../nc/codes.ts'
import { wordSpan } from '../nc/words.ts'
import type { Dialect } from './dialect.ts'
import { figure, interpretationProblems } from './interpretation-problems.ts'
import type { ProblemCollector } from './problem-collector.ts'

// The words of the block in hand, sorted out: which codes, which values, and which of them get in
// each other's way. One record, used again for each block.

/** Order of execution inside a block: NISTIR 6556 table 8. */
const ranks: Readonly<Record<Effect, number>> = {
  'feed-mode': 2,
  'tool-change': 6,
  'spindle-clockwise': 7, 'spindle-counterclockwise': 7, 'spindle-stop': 7,
  'spindle-clockwise-coolant': 7, 'spindle-counterclockwise-coolant': 7,
  'coolant-on': 8, 'coolant-off': 8,
  'none': 9, 'not-simulated': 9,
  'dwell': 10, 'plane': 11, 'inch': 12, 'metric': 12,
  'radius-off': 13, 'radius-on': 13,
  'length-on': 14, 'length-off': 14, 'tool-centre-on': 14, 'tool-centre-off': 14, 'tool-vector-on': 14,
  'work-offset': 15, 'distance': 17, 'cycle-return': 18,
  'path-control': 16,
  'tilted-plane-off': 19, 'tilted-plane-on': 19, 'orient-tool': 19,
  'frame-off': 19, 'frame-on': 19, 'lost': 19, 'home': 19, 'offset-write': 19, 'set-position': 19, 'local-shift': 19,
  // Before the motion codes: in "G0 G40 G49 G80", the start line of most programs, G0 stays in force.
  'cycle-cancel': 19,
  'machine-frame': 20, 'motion': 20, 'cycle': 20, 'probe': 20,
  'call': 20, 'return': 20, 'macro': 20, 'macro-modal': 20, 'macro-off': 20,
  'stop': 21, 'end': 21,
}

const MOST_M_CODES = 4

/** Names of the groups in messages. */
const groupNames: Readonly<Record<string, string>> = {
  'motion': 'kind of motion', 'plane': 'arc plane', 'distance': 'distance mode', 'feed-mode': 'feed mode', 'units': 'units',
  'radius-compensation': 'radius compensation', 'length-offset': 'length offset', 'cycle-return': 'return level of cycles',
  'work-offset': 'work offset', 'path-control': 'path control', 'frame': 'coordinates', 'surface-speed': 'meaning of S',
  'stopping': 'stop', 'tool-change': 'tool change', 'spindle': 'spindle', 'coolant': 'coolant', 'overrides': 'overrides',
}

export const letterIndex = (letter: string) => letter.charCodeAt(0) - 65

export class BlockWords {
  block: Block
  /** Index of the word that holds for each letter, A first; -1 where there is none. */
  readonly #at = new Int16Array(26).fill(-1)
  /** Letters of the block in hand, so that only their places are cleared for the next one. */
  readonly #used = new Uint8Array(26)
  #usedCount = 0
  /** Letters that the block has words with, as bits: A first. */
  letters = 0
  /** Codes in the order of execution. */
  readonly codes: Code[] = []
  readonly #codeWords: number[] = []
  /** Index of the first word that belongs to a macro call and to nothing else; -1 without one. */
  firstArgument = -1
  /** The code that takes the axis words away from the motion code in force. */
  axisTaker: Code | undefined

  constructor(block: Block) {
    this.block = block
  }

  /** Sorts out the words of a block. */
  collect(block: Block, dialect: Dialect, problems: ProblemCollector): void {
    this.block = block
    for (let i = 0; i < this.#usedCount; i++) this.#at[this.#used[i] ?? 0] = -1
    this.#usedCount = 0
    this.letters = 0
    // Setting a length costs more than looking at it.
    if (this.codes.length > 0) this.codes.length = this.#codeWords.length = 0
    this.axisTaker = undefined
    this.firstArgument = -1
    for (let i = 0; i < block.count; i++) {
      const letter = (block.letters[i] ?? 65) - 65
      // Of a macro call's words only P and L say something to the control.
      if (this.firstArgument >= 0 && letter !== 15 && letter !== 11) continue
      if (letter === 6 || letter === 12) {
        this.#addCode(i, letter === 6 ? 'G' : 'M', dialect, problems)
        continue
      }
      const first = this.#at[letter] ?? -1
      this.#at[letter] = i
      this.letters |= 1 << letter
      if (first < 0) this.#used[this.#usedCount++] = letter
      else {
        const name = String.fromCharCode(letter + 65), span = wordSpan(block, i)
        if (problems.hasTold('repeated-word', span)) continue
        problems.tell({ ...interpretationProblems.repeatedWord(name, this.written(first), this.written(i)), span, related: [{ span: wordSpan(block, first), message: 'It stands here first.' }] })
      }
    }
    if (this.codes.length > 1) this.#findConflicts(problems)
    if (this.codes.length > MOST_M_CODES) this.#countCodes(problems)
  }

  /** NISTIR 6556 3.3.5: four M codes at most. */
  #countCodes(problems: ProblemCollector): void {
    const at = this.#codeWords.filter(index => this.block.letters[index] === 77).sort((a, b) => a - b)
    if (at.length > MOST_M_CODES) problems.tell({ ...interpretationProblems.manyCodes(at.length), span: wordSpan(this.block, at[MOST_M_CODES] ?? 0) })
  }

  /** Whether the block has a word with the letter, known or not. */
  has(letter: number): boolean {
    return (this.#at[letter] ?? -1) >= 0
  }

  /** The value as written; NaN where it is not known or not there. */
  value(letter: number): number {
    const at = this.#at[letter] ?? -1
    return at < 0 ? Number.NaN : this.block.values[at] ?? Number.NaN
  }

  /** Whether the word's letter was given with a number that could not be read. */
  isUnreadable(letter: number): boolean {
    return (this.block.unreadable & 1 << letter) !== 0 && !this.has(letter)
  }

  span(letter: number): { start: number, end: number } {
    return wordSpan(this.block, this.#at[letter] ?? 0)
  }

  codeSpan(code: Code): { start: number, end: number } {
    return wordSpan(this.block, this.#codeWords[this.codes.indexOf(code)] ?? 0)
  }

  /** The word as it is named in messages. */
  written(index: number): string {
    const value = this.block.values[index] ?? Number.NaN
    const letter = String.fromCharCode(this.block.letters[index] ?? 32)
    return Number.isNaN(value) ? `${letter} with an expression` : `${letter}${figure(value, 6)}`
  }

  #addCode(index: number, letter: 'G' | 'M', dialect: Dialect, problems: ProblemCollector): void {
    const value = this.block.values[index] ?? Number.NaN
    if (Number.isNaN(value)) return
    const tenfold = Math.round(value * 10)
    const code = Math.abs(value * 10 - tenfold) <= 0.001 ? (letter === 'G' ? dialect.g : dialect.m)[tenfold] : undefined
    if (code === undefined) {
      const written = this.written(index)
      problems.count(`unknown-code ${written}`, this.block.line, wordSpan(this.block, index), count => interpretationProblems.unknownCode(written, count))
      return
    }
    // Kept in the order of execution; equal ranks stay in the order of the text.
    const rank = ranks[code.effect]
    let at = this.codes.length
    while (at > 0 && ranks[this.codes[at - 1]?.effect ?? 'none'] > rank) at--
    this.codes.splice(at, 0, code)
    this.#codeWords.splice(at, 0, index)
    if (code.takesAxisWords === true) this.axisTaker = code
    if (code.effect === 'macro' || code.effect === 'macro-modal') this.firstArgument = index + 1
  }

  #findConflicts(problems: ProblemCollector): void {
    for (let b = 1; b < this.codes.length; b++) {
      for (let a = 0; a < b; a++) {
        const first = this.codes[a], second = this.codes[b]
        if (first === undefined || second === undefined) continue
        const conflict = conflictOf(first, second)
        if (conflict === 'none') continue
        const span = wordSpan(this.block, this.#codeWords[b] ?? 0)
        if (problems.hasTold(conflict === 'twice' ? 'repeated-word' : 'modal-conflict', span)) continue
        const related = [{ span: wordSpan(this.block, this.#codeWords[a] ?? 0), message: `${first.code} stands here.` }]
        if (conflict === 'twice') problems.tell({ ...interpretationProblems.repeatedWord(first.code, first.code, second.code), span, related })
        else if (conflict === 'group') problems.tell({ ...interpretationProblems.groupConflict(first.code, second.code, groupNames[first.group] ?? 'mode'), span, related })
        else {
          // A rapid beside a home move is common practice and leaves no doubt about the way; the rest does.
          const isHarmless = second.code === 'G0' && first.effect === 'home'
          const [loser, winner] = first.takesAxisWords === true ? [second, first] : [first, second]
          problems.tell({ ...interpretationProblems.axisWordConflict(loser.code, winner.code), span, related, level: isHarmless ? 'warning' : undefined })
        }
      }
    }
  }
}

/** How two codes of one block get in each other's way: it is one code, they are of one group, or both want the axis words. */
function conflictOf(first: Code, second: Code): 'none' | 'twice' | 'group' | 'axis-words' {
  // NISTIR 6556 has G80 in the group of G0; real controls have not, and their start lines name both.
  if (first.effect === 'cycle-cancel' && second.effect === 'motion') return 'none'
  if (first === second && first.group !== 'none') return 'twice'
  if (first.group === second.group && first.group !== 'none' && first.group !== 'one-shot') return 'group'
  const bothTake = takesAxisWords(first) && takesAxisWords(second) || isMachineFrameBesideTaker(first, second) || isMachineFrameBesideTaker(second, first)
  return bothTake ? 'axis-words' : 'none'
}

/** NISTIR 6556 3.4: G0–G3 and cycles use the axis words, and so do G10, G28, G30 and G92. */
function takesAxisWords(code: Code): boolean {
  return code.takesAxisWords === true && code.effect !== 'dwell' || code.effect === 'motion' || code.effect === 'cycle' || code.effect === 'probe'
}

/** G53 says what the axis words of a straight move mean; a code that takes them for itself leaves it none. */
function isMachineFrameBesideTaker(frame: Code, taker: Code): boolean {
  return frame.effect === 'machine-frame' && taker.takesAxisWords === true
}
