import type { Code } from '../nc/codes.ts'
import type { AxisWords } from './axis-words.ts'
import type { BlockWords } from './block-words.ts'
import { letterIndex } from './block-words.ts'
import type { Coordinates } from './coordinates.ts'
import { fiveAxisProblems } from './five-axis-problems.ts'
import { figure, interpretationProblems } from './interpretation-problems.ts'
import type { ModalState } from './modal-state.ts'
import type { Asker, MotionMaker } from './motion-maker.ts'
import { writtenOffsetName } from './offset-names.ts'
import type { ProblemCollector } from './problem-collector.ts'

const L = letterIndex('L'), P = letterIndex('P')

/** The codes that change where program zero lies without moving: G10, G52 and the family of G92. */
export class OffsetCodes {
  hasWritten = false
  readonly #problems: ProblemCollector
  readonly #words: BlockWords
  readonly #axisWords: AxisWords
  readonly #coordinates: Coordinates
  readonly #maker: MotionMaker
  readonly #state: ModalState

  constructor(problems: ProblemCollector, words: BlockWords, axisWords: AxisWords, coordinates: Coordinates, maker: MotionMaker, state: ModalState) {
    this.#problems = problems
    this.#words = words
    this.#axisWords = axisWords
    this.#coordinates = coordinates
    this.#maker = maker
    this.#state = state
  }

  apply(code: Code, asker: Asker): void {
    const state = this.#state
    this.hasWritten = false
    switch (code.code) {
      case 'G10': return this.#writeOffset(code, asker)
      case 'G52':
        state.localShift = this.#shifted(state.localShift, (_, value) => value)
        // Back to no shift at all means the same everywhere.
        if (state.localShift.some(value => value !== 0)) state.localShift = this.#inPlane(state.localShift, code, asker)
        break
      // NISTIR 6556 3.5.18: at X4, "G92 X7" shifts by -3.
      case 'G92':
        if (!this.#axisWords.hasAny()) return this.#problems.tell({ ...interpretationProblems.wordsWanted('G92', 'an axis word'), span: this.#words.codeSpan(code) })
        state.setPosition = this.#inPlane(this.#shifted(state.setPosition, (j, value, before) => before + (this.#maker.programmed[j] ?? Number.NaN) - value), code, asker)
        state.keptPosition = state.setPosition
        break
      case 'G92.1': state.keptPosition = undefined; state.setPosition = undefined; break
      case 'G92.2': state.setPosition = undefined; break
      case 'G92.3': state.setPosition = state.keptPosition; break
      default: break
    }
  }

  /** NISTIR 6556 3.5.5: only the axes given change; incremental values add to what is there (common practice). */
  #writeOffset(code: Code, asker: Asker): void {
    const words = this.#words, state = this.#state, list = words.value(L)
    if (list !== 2 && list !== 20) {
      this.#problems.count('G10', asker.line, words.codeSpan(code), count => interpretationProblems.withoutEffectOnMotion(`G10 L${figure(list)}`.replace('LNaN', 'without L'), 'tool data written by the program', count))
      return
    }
    const name = writtenOffsetName(list, words.value(P))
    if (name === undefined) {
      this.#problems.tell({ ...interpretationProblems.noSuchWrittenOffset(`L${list}`, words.has(P) ? `P${figure(words.value(P))}`.replace('PNaN', 'with a P that is not known') : 'without P'), span: words.has(P) ? words.span(P) : words.codeSpan(code) })
      return
    }
    const before = this.#coordinates.offsetJoints(state, name)
    const values = this.#shifted([...before], (_, value, old) => state.distance === 91 ? old + value : value)
    state.writtenOffsets = { ...state.writtenOffsets, [name]: values }
    this.hasWritten = true
  }

  /** A shift asked for while a tilted plane is in force is not known in the axes' own directions. */
  #inPlane(shift: readonly number[], code: Code, asker: Asker): readonly number[] {
    if (this.#state.tiltedPlane === undefined) return shift
    this.#problems.count(`${code.code} in plane`, asker.line, this.#words.codeSpan(code), () => fiveAxisProblems.shiftInPlane(code.code))
    return shift.map(() => Number.NaN)
  }

  #shifted(before: readonly number[] | undefined, next: (joint: number, value: number, before: number) => number): readonly number[] {
    return Array.from(this.#maker.programmed, (_, j) => {
      const old = before?.[j] ?? 0
      return this.#axisWords.has(j) ? next(j, this.#axisWords.value(j), old) : old
    })
  }
}
