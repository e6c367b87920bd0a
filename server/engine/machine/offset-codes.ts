import type { Kinematics } from '../../../shared/kinematics.ts'
import type { Machine } from '../../../shared/machine.ts'
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
import { shiftPlane, type TiltedPlane } from './tilted-plane.ts'

const L = letterIndex('L'), P = letterIndex('P')

/** The codes that change where program zero lies without moving: G10, G52 and the family of G92. */
export class OffsetCodes {
  hasWritten = false
  readonly #machine: Machine
  readonly #kinematics: Kinematics
  readonly #problems: ProblemCollector
  readonly #words: BlockWords
  readonly #axisWords: AxisWords
  readonly #coordinates: Coordinates
  readonly #maker: MotionMaker
  readonly #state: ModalState

  constructor(input: { readonly machine: Machine, readonly kinematics: Kinematics, readonly problems: ProblemCollector }, words: BlockWords, axisWords: AxisWords, coordinates: Coordinates, maker: MotionMaker, state: ModalState) {
    this.#machine = input.machine
    this.#kinematics = input.kinematics
    this.#problems = input.problems
    this.#words = words
    this.#axisWords = axisWords
    this.#coordinates = coordinates
    this.#maker = maker
    this.#state = state
  }

  apply(code: Code, asker: Asker): void {
    const state = this.#state
    this.hasWritten = false
    if (state.tiltedPlane !== undefined && this.#machine.control.tiltedPlaneShift === 'in-plane' && this.#shiftPlane(state.tiltedPlane, code)) return
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

  /** Whether the code only moves the zero of the plane: then its words count along the plane's axes. */
  #shiftPlane(plane: TiltedPlane, { code }: Code): boolean {
    const { linear } = this.#kinematics, words = this.#axisWords, state = this.#state
    if (code === 'G92.1' || code === 'G92.2') {
      state.tiltedPlane = shiftPlane(plane, { setPosition: [0, 0, 0] })
      return true
    }
    const own = linear.filter(joint => joint >= 0 && words.has(joint))
    const others = this.#machine.axes.some((_, joint) => words.has(joint) && !linear.includes(joint))
    if (code !== 'G52' && code !== 'G92' || others || own.length === 0) return false
    const shifted = (old: number, n: 0 | 1 | 2) => {
      const joint = linear[n]
      if (joint < 0 || !words.has(joint)) return old
      return code === 'G52' ? words.value(joint) : old + (this.#maker.programmed[joint] ?? Number.NaN) - words.value(joint)
    }
    const key = code === 'G52' ? 'localShift' : 'setPosition', [x, y, z] = plane[key]
    state.tiltedPlane = shiftPlane(plane, { [key]: [shifted(x, 0), shifted(y, 1), shifted(z, 2)] })
    return true
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
