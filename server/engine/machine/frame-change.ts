import type { Code } from '../nc/codes.ts'
import type { BlockWords } from './block-words.ts'
import type { Coordinates } from './coordinates.ts'
import { interpretationProblems } from './interpretation-problems.ts'
import type { ModalState } from './modal-state.ts'
import type { Asker, MotionMaker } from './motion-maker.ts'
import type { ProblemCollector } from './problem-collector.ts'

/** What program coordinates count in, and the codes whose effect on it is not simulated. */
export class FrameChange {
  /** The block has changed the frame: it is to be taken before the block's motion. */
  isNew = false
  readonly #problems: ProblemCollector
  readonly #words: BlockWords
  readonly #coordinates: Coordinates
  readonly #maker: MotionMaker
  readonly #state: ModalState

  constructor(problems: ProblemCollector, words: BlockWords, coordinates: Coordinates, maker: MotionMaker, state: ModalState) {
    this.#problems = problems
    this.#words = words
    this.#coordinates = coordinates
    this.#maker = maker
    this.#state = state
  }

  /** From here on motion is not checked, until the code ends. */
  start(code: Code, asker: Asker): void {
    const state = this.#state
    const held = state.unsimulated === undefined ? [] : state.unsimulated.split(' ')
    if (!held.includes(code.code)) state.unsimulated = [...held, code.code].join(' ')
    this.#problems.count(code.code, asker.line, this.#words.codeSpan(code), count => interpretationProblems.notSimulated(code.code, code.says, count))
  }

  /** These codes hold no more. */
  end(names: readonly string[]): void {
    const state = this.#state
    if (state.unsimulated === undefined) return
    const held = state.unsimulated.split(' ').filter(name => !names.includes(name))
    const rest = held.length === 0 ? undefined : held.join(' ')
    if (rest === state.unsimulated) return
    state.unsimulated = rest
    this.isNew = true
  }

  /** Offset, length or control mode have changed: the machine stands still, its position reads differently. */
  take({ line, span }: Asker): void {
    if (!this.isNew) return
    this.isNew = false
    const state = this.#state, problems = this.#problems
    if (!state.toolCentre) state.toolVector = false
    this.#coordinates.take(state)
    const doubt = this.#coordinates.lengthDoubt, at = state.lengthOffsetSpan ?? span
    if (doubt === 'no-tools') problems.count('no-tools', line, at, () => interpretationProblems.noTools())
    if (doubt === 'no-tool') problems.count('no-tool', line, span, () => interpretationProblems.unknownToolLength())
    const offset = state.lengthOffset ?? Number.NaN
    if (doubt === 'no-such-offset' && !Number.isNaN(offset)) problems.count(`H${offset}`, line, at, () => interpretationProblems.unknownLength(offset))
    this.#maker.renumber()
  }
}
