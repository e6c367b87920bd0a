import type { Limits, PartialLimits, Pass, Setup } from '../../../shared/setup.ts'
import { NO_TOOL, type Toolpath } from '../../../shared/toolpath.ts'
import type { BlockStep } from './rule.ts'

/** Remembers, while the program runs, which of the sheet's passes hold for which motions. */
export class LimitTrack<T> {
  readonly #setup: Setup
  readonly #pick: (limits: Limits | PartialLimits, pass?: Pass) => T | undefined
  readonly #open: boolean[]
  /** From this motion on these passes hold. */
  readonly #changes: { readonly motion: number, readonly passes: readonly Pass[] }[] = []

  /** `pick`: what is wanted of the sheet's limits, or of a pass and its limits. */
  constructor(setup: Setup, pick: (limits: Limits | PartialLimits, pass?: Pass) => T | undefined) {
    this.#setup = setup
    this.#pick = pick
    this.#open = setup.passes.map(pass => pass.from === undefined)
    this.#note(0)
  }

  /** A pass begins with the block numbered `from` and ends behind the block numbered `to`. */
  block({ block, firstMotion, endMotion }: BlockStep): void {
    if (block.sequence < 0 || this.#setup.passes.length === 0) return
    let begins = false, ends = false
    this.#setup.passes.forEach((pass, i) => {
      if (pass.from === block.sequence) this.#open[i] = begins = true
    })
    if (begins) this.#note(firstMotion)
    this.#setup.passes.forEach((pass, i) => {
      if (pass.to !== block.sequence) return
      this.#open[i] = false
      ends = true
    })
    if (ends) this.#note(endMotion)
  }

  /** The limit for a motion; later passes win over earlier ones and over the sheet's own limits. */
  at(motion: number, toolpath: Toolpath): T | undefined {
    let low = 0, high = this.#changes.length - 1
    while (low < high) {
      const middle = (low + high + 1) >>> 1
      if ((this.#changes[middle]?.motion ?? 0) <= motion) low = middle
      else high = middle - 1
    }
    const index = toolpath.tool[motion] ?? NO_TOOL
    const tool = this.#setup.tools[index]?.number
    let limit = this.#pick(this.#setup.limits)
    for (const pass of this.#changes[low]?.passes ?? []) {
      if (pass.tools === undefined || tool !== undefined && pass.tools.includes(tool)) limit = this.#pick(pass.limits, pass) ?? limit
    }
    return limit
  }

  #note(motion: number): void {
    this.#changes.push({ motion, passes: this.#setup.passes.filter((_pass, i) => this.#open[i]) })
  }
}
