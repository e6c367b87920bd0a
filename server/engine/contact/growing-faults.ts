import { firstAbove } from '../../../shared/first-above.ts'
import type { ContactFigures } from './contact-figures.ts'
import { partFaults, type MotionFault } from './motion-faults.ts'
import type { SearchInput } from './search-motions.ts'

/** Motions [first, first + count) that are those from `source` on of an earlier reading. */
export interface InheritedRun { readonly first: number, readonly count: number, readonly source: number }

/** The figures of the motions [first, first + count), which are known. */
type FiguresOf = (first: number, count: number) => ContactFigures

/**
 * The faults against the part while the figures of a program come in, in any order: each motion is judged once, so that
 * after an edit of a long program only what is new is looked at.
 */
export class GrowingFaults {
  readonly #input: Pick<SearchInput, 'kinematics' | 'toolpath' | 'limits'>
  readonly #isKnown: (motion: number) => boolean
  readonly #figuresOf: FiguresOf
  readonly #ofMotion = new Map<number, readonly MotionFault[]>()
  /** The same in the order of the motions; undefined while something has come since. */
  #inOrder: readonly MotionFault[] | undefined = []

  constructor(input: Pick<SearchInput, 'kinematics' | 'toolpath' | 'limits'>, isKnown: (motion: number) => boolean, figuresOf: FiguresOf) {
    this.#input = input
    this.#isKnown = isKnown
    this.#figuresOf = figuresOf
  }

  /** All faults so far, in the order of the motions. */
  get list(): readonly MotionFault[] {
    this.#inOrder ??= [...this.#ofMotion.keys()].sort((a, b) => a - b).flatMap(motion => this.#ofMotion.get(motion) ?? [])
    return this.#inOrder
  }

  /** Judges the motions [first, first + count), whose figures have come. */
  judge(first: number, count: number): void {
    // Whether a rapid leaves a cut is seen in the motion before it, so the one behind is judged again.
    const end = first + count, from = first > 0 && this.#isKnown(first - 1) ? first - 1 : first
    const to = this.#isKnown(end) ? end + 1 : end
    const { kinematics, toolpath, limits } = this.#input, found = new Map<number, MotionFault[]>()
    for (const fault of partFaults(kinematics, toolpath, limits, this.#figuresOf(from, to - from))) {
      const list = found.get(fault.motion)
      if (list === undefined) found.set(fault.motion, [fault])
      else list.push(fault)
    }
    for (let motion = first; motion < to; motion++) {
      const faults = found.get(motion)
      if (faults !== undefined) this.#ofMotion.set(motion, faults)
      else this.#ofMotion.delete(motion)
    }
    this.#inOrder = undefined
  }

  /** Takes over the faults of motions that an earlier reading has too. */
  inherit(from: GrowingFaults, runs: readonly InheritedRun[]): void {
    const motions = [...from.#ofMotion.keys()].sort((a, b) => a - b)
    for (const { first, count, source } of runs) {
      for (let k = firstAbove(motions, source - 1); k < motions.length; k++) {
        const motion = motions[k]
        if (motion >= source + count) break
        const faults = from.#ofMotion.get(motion) ?? []
        this.#ofMotion.set(motion - source + first, first === source ? faults : faults.map(fault => ({ ...fault, motion: motion - source + first })))
      }
      // It may stand behind another motion now.
      this.judge(first, 1)
    }
    this.#inOrder = undefined
  }
}
