import type { Machine } from '../../../shared/machine.ts'
import { axisLetters } from '../nc/addresses.ts'
import type { BlockWords } from './block-words.ts'
import { letterIndex } from './block-words.ts'
import { interpretationProblems } from './interpretation-problems.ts'
import type { Asker } from './motion-maker.ts'
import type { ProblemCollector } from './problem-collector.ts'

/** A turn this much short of a whole one is taken as whole; radians. */
const SAME_ANGLE = 1e-9

/** The axis words of the block in hand as targets, mm and radians. */
export class AxisWords {
  /** Millimetres for one programmed length. */
  unit = 1
  readonly #words: BlockWords
  readonly #machine: Machine
  readonly #problems: ProblemCollector
  /** Letter index of each joint. */
  readonly #letters: readonly number[]
  readonly #strangers: readonly number[]
  /** The axes' letters, and those of axes that the machine does not have, as bits. */
  readonly #own: number
  readonly #foreign: number
  readonly #isRotary: readonly boolean[]
  readonly #isAsWritten: readonly boolean[]

  constructor(machine: Machine, words: BlockWords, problems: ProblemCollector) {
    this.#machine = machine
    this.#words = words
    this.#problems = problems
    this.#letters = machine.axes.map(axis => letterIndex(axis.letter))
    this.#isRotary = machine.axes.map(axis => axis.kind === 'rotary')
    this.#isAsWritten = machine.axes.map(axis => (machine.control.rotaryTravel[axis.letter] ?? 'as-written') === 'as-written')
    this.#strangers = [...axisLetters].map(letterIndex).filter(letter => !this.#letters.includes(letter))
    this.#own = bitsOf(this.#letters)
    this.#foreign = bitsOf(this.#strangers)
  }

  /** Whether joint j has a word in the block. */
  has(j: number): boolean {
    return this.#words.has(this.#letters[j] ?? 0)
  }

  hasAny(): boolean {
    return (this.#words.letters & this.#own) !== 0
  }

  /** A length of the block in mm. */
  length(letter: number): number {
    return this.#words.value(letter) * this.unit
  }

  /** Value of joint j's word, mm or radians. */
  value(j: number): number {
    const letter = this.#letters[j] ?? 0
    return this.#isRotary[j] === true ? this.#words.value(letter) * Math.PI / 180 : this.length(letter)
  }

  /** Puts the words into a programmed target. */
  into(target: Float64Array, isIncremental: boolean): void {
    for (let j = 0; j < this.#letters.length; j++) {
      if (!this.has(j)) continue
      const value = this.value(j), now = target[j] ?? Number.NaN
      if (isIncremental) target[j] = now + value
      else target[j] = this.#isRotary[j] === true && !this.#isAsWritten[j] ? this.#turnTo(j, now, value) : value
    }
  }

  /** Words for axes the machine does not have. */
  checkLetters(asker: Asker): void {
    if ((this.#words.letters & this.#foreign) === 0) return
    for (let i = 0; i < this.#strangers.length; i++) {
      const letter = this.#strangers[i] ?? 0
      if (!this.#words.has(letter)) continue
      const name = String.fromCharCode(letter + 65)
      this.#problems.count(`axis ${name}`, asker.line, this.#words.span(letter), count => interpretationProblems.noSuchAxis(name, this.#machine.name, count))
    }
  }

  /** An axis whose word could not be read stands nobody knows where. */
  loseUnreadable(programmed: Float64Array): void {
    if (this.#words.block.unreadable === 0) return
    for (let j = 0; j < this.#letters.length; j++) {
      if (this.#words.isUnreadable(this.#letters[j] ?? 0)) programmed[j] = Number.NaN
    }
  }

  /** Where a rotary axis goes for an absolute value: the machine file says which way round. */
  #turnTo(j: number, now: number, value: number): number {
    const way = this.#machine.control.rotaryTravel[this.#machine.axes[j]?.letter ?? ''] ?? 'as-written'
    if (way === 'as-written' || Number.isNaN(now)) return value
    const whole = 2 * Math.PI
    if (way === 'shortest') {
      const turns = Math.round((now - value) / whole)
      const target = value + turns * whole
      // Exactly half a turn either way: the positive one.
      return now - target > Math.PI - SAME_ANGLE ? target + whole : target
    }
    const goal = Math.abs(value)
    const isNegative = value < 0 || Object.is(value, -0)
    const turns = (now - goal) / whole
    return goal + whole * (isNegative ? Math.floor(turns + SAME_ANGLE) : Math.ceil(turns - SAME_ANGLE))
  }
}

function bitsOf(letters: readonly number[]): number {
  return letters.reduce((bits, letter) => bits | 1 << letter, 0)
}
