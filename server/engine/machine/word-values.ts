import type { Setup } from '../../../shared/setup.ts'
import { letterIndex } from './block-words.ts'
import type { BlockWords } from './block-words.ts'
import type { FrameChange } from './frame-change.ts'
import { interpretationProblems } from './interpretation-problems.ts'
import type { ModalState } from './modal-state.ts'
import type { Asker } from './motion-maker.ts'
import type { ProblemCollector } from './problem-collector.ts'

const D = letterIndex('D'), F = letterIndex('F'), H = letterIndex('H'), S = letterIndex('S'), T = letterIndex('T')

/** The words that name a value which stays: feed, speed, tool, and the numbers of offsets. */
export class WordValues {
  readonly #setup: Setup | undefined
  readonly #problems: ProblemCollector
  readonly #words: BlockWords
  readonly #state: ModalState

  constructor(input: { readonly setup: Setup | undefined, readonly problems: ProblemCollector }, words: BlockWords, state: ModalState) {
    this.#setup = input.setup
    this.#problems = input.problems
    this.#words = words
    this.#state = state
  }

  /** F, S, T: after the feed mode, before everything else. */
  take(): void {
    const words = this.#words, state = this.#state
    if (words.has(F) || words.isUnreadable(F)) {
      state.feed = words.value(F)
      state.feedGivenIn = state.feedMode ?? 94
    }
    if (words.has(S) || words.isUnreadable(S)) {
      const speed = words.value(S)
      if (speed < 0) this.#problems.tell({ ...interpretationProblems.notNegative(`S${speed}`, 'a spindle speed'), span: words.span(S) })
      else state.speed = speed
    }
    if (words.has(D) && this.#isNumber(D, 'the number of a radius offset')) state.radiusOffset = words.value(D)
    if (words.has(T) || words.isUnreadable(T)) {
      const number = words.value(T)
      if (number < 0) this.#problems.tell({ ...interpretationProblems.notNegative(`T${number}`, 'a tool number'), span: words.span(T) })
      else state.selectedTool = Number.isNaN(number) ? undefined : Math.round(number)
    }
  }

  /** M6: the tool that T has named is in the spindle, which stands still (NISTIR 6556 3.6.3). */
  changeTool(frame: FrameChange, asker: Asker): void {
    const state = this.#state, setup = this.#setup
    state.tool = state.selectedTool
    state.spindle = 'stopped'
    if (state.lengthOffset === undefined) frame.isNew = true
    const number = state.tool
    // T0 empties the spindle (NISTIR 6556 3.6.3).
    if (number === undefined || number === 0 || setup === undefined) return
    if (setup.tools.some(tool => tool.number === number) || (setup.toolsSetAside ?? []).some(tool => tool.number === number)) return
    const span = this.#words.has(T) ? this.#words.span(T) : asker.span
    const given = setup.tools.map(tool => `T${tool.number}`).join(', ') || 'it names none'
    this.#problems.tell({ ...interpretationProblems.toolNotInSetup(number, given), span })
  }

  takeLengthOffset(frame: FrameChange): void {
    const words = this.#words, state = this.#state
    if (!words.has(H) || words.axisTaker !== undefined && words.axisTaker.effect !== 'frame-on') return
    if (!this.#isNumber(H, 'the number of a length offset')) return
    state.lengthOffset = words.value(H)
    state.lengthOffsetSpan = words.span(H)
    frame.isNew = true
  }

  /** NISTIR 6556 3.5.10 and 3.5.11: H and D are whole numbers, not negative. */
  #isNumber(letter: number, what: string): boolean {
    const value = this.#words.value(letter)
    if (Number.isNaN(value) || value >= 0 && Math.abs(value - Math.round(value)) < 1e-4) return true
    this.#problems.tell({ ...interpretationProblems.noNumber(`${String.fromCharCode(letter + 65)}${value}`, what), span: this.#words.span(letter) })
    return false
  }
}
