import type { Limits, PartialLimits, Pass, Setup } from '../../../shared/setup.ts'
import { NO_TOOL, type Toolpath } from '../../../shared/toolpath.ts'
import { Notes } from './notes.ts'
import type { BlockStep, RuleVisitor } from './rule.ts'

/** Remembers, while the program runs, which of the sheet's passes hold for which motions. */
export class LimitTrack<T> {
  readonly #setup: Setup
  readonly #pick: (limits: Limits | PartialLimits, pass?: Pass) => T | undefined
  /** Whether each pass holds. */
  readonly #memory: { open: readonly boolean[] }
  /** From this motion on these passes hold. */
  readonly #changes = new Notes<{ readonly motion: number, readonly passes: readonly number[] }>()

  /** `pick`: what is wanted of the sheet's limits, or of a pass and its limits. */
  constructor(setup: Setup, pick: (limits: Limits | PartialLimits, pass?: Pass) => T | undefined) {
    this.#setup = setup
    this.#pick = pick
    this.#memory = { open: setup.passes.map(pass => pass.from === undefined) }
    this.#note(0)
  }

  /** What follows the blocks: a part of the rule's own visitor. */
  get visitor(): Pick<RuleVisitor, 'block' | 'memory' | 'notes'> {
    return { memory: this.#memory, notes: this.#changes, block: step => { this.#follow(step) } }
  }

  /** The limit for a motion; later passes win over earlier ones and over the sheet's own limits. */
  at(motion: number, toolpath: Toolpath): T | undefined {
    let low = 0, high = this.#changes.list.length - 1
    while (low < high) {
      const middle = (low + high + 1) >>> 1
      if ((this.#changes.list[middle]?.motion ?? 0) <= motion) low = middle
      else high = middle - 1
    }
    const index = toolpath.tool[motion] ?? NO_TOOL
    const tool = this.#setup.tools[index]?.number
    let limit = this.#pick(this.#setup.limits)
    for (const at of this.#changes.list[low]?.passes ?? []) {
      const pass = this.#setup.passes[at]
      if (pass === undefined) continue
      if (pass.tools === undefined || tool !== undefined && pass.tools.includes(tool)) limit = this.#pick(pass.limits, pass) ?? limit
    }
    return limit
  }

  /** A pass begins with the block numbered `from` and ends behind the block numbered `to`. */
  #follow({ block, firstMotion, endMotion, file }: BlockStep): void {
    if (block.sequence < 0 || this.#setup.passes.length === 0 || file !== undefined) return
    if (this.#turn(pass => pass.from === block.sequence, true)) this.#note(firstMotion)
    if (this.#turn(pass => pass.to === block.sequence, false)) this.#note(endMotion)
  }

  /** Whether there is such a pass. */
  #turn(isMeant: (pass: Pass) => boolean, opens: boolean): boolean {
    const { passes } = this.#setup
    if (!passes.some(isMeant)) return false
    this.#memory.open = passes.map((pass, i) => isMeant(pass) ? opens : this.#memory.open[i] === true)
    return true
  }

  #note(motion: number): void {
    this.#changes.add({ motion, passes: this.#memory.open.flatMap((open, i) => open ? [i] : []) })
  }
}
