import type { VariableControl } from '../../../shared/machine.ts'
import type { Setting, VariableSource, VariableValue } from '../nc/variables.ts'

/** Variables of a call: #1 to #33; those of the main program are the first ones. Common practice. */
const LAST_LOCAL = 33
/** Variables up to here are the program's; those above are the control's own unless the program sets them. Common practice. */
const LAST_COMMON = 999

/** What the control itself keeps under a number: positions, offsets. Undefined: not one of those. */
export interface SystemSource {
  read(index: number): number | undefined
  /** False: the number is no system variable that can be set. */
  write(index: number, value: number): boolean
}

/** Everything a program has stored, as plain data. */
export interface VariableSnapshot {
  readonly common: ReadonlyMap<number, number>
  readonly named: ReadonlyMap<string, number>
  readonly locals: readonly ReadonlyMap<number, number>[]
}

/** The variables of the control: common ones, named ones, and a set of local ones for each call. */
export class Variables implements VariableSource {
  /** Grows whenever a variable changes. */
  version = 0
  /** Grows whenever a position or offset is read. */
  systemReads = 0
  system: SystemSource | undefined
  readonly #rules: VariableControl
  /** Grows with everything that a snapshot holds. */
  #revision = 0
  #common = new Map<number, number>()
  #named = new Map<string, number>()
  #locals: Map<number, number>[] = [new Map()]
  #kept: { readonly revision: number, readonly snapshot: VariableSnapshot } | undefined

  constructor(rules: VariableControl) {
    this.#rules = rules
  }

  readonly read = (index: number): VariableValue => {
    if (index < 1 || index > (this.#rules.last ?? Infinity)) return { value: Number.NaN, doubt: 'out-of-range' }
    if (index <= LAST_LOCAL) {
      const value = this.#locals[this.#locals.length - 1]?.get(index)
      if (value !== undefined) return { value }
      if (this.#rules.unset === 'zero') return { value: 0, doubt: 'never-set' }
      // A call begins with nothing stored but its arguments; the program itself finds what the last one left.
      return this.#locals.length > 1 ? { value: undefined } : { value: Number.NaN, doubt: 'never-set' }
    }
    const known = this.system?.read(index)
    if (known !== undefined) this.systemReads++
    if (known !== undefined) return Number.isNaN(known) ? { value: known, doubt: 'not-simulated' } : { value: known }
    const value = this.#common.get(index)
    if (value !== undefined) return { value }
    if (this.#rules.unset === 'zero') return { value: 0, doubt: 'never-set' }
    return { value: Number.NaN, doubt: index > LAST_COMMON ? 'not-simulated' : 'never-set' }
  }

  readonly readNamed = (name: string): VariableValue => {
    if (!this.#rules.named) return { value: Number.NaN, doubt: 'out-of-range' }
    const value = this.#named.get(name)
    return value === undefined ? { value: Number.NaN, doubt: 'never-set' } : { value }
  }

  /** Stores what a block sets. False where it cannot be stored. */
  store(setting: Setting): boolean {
    const { index, name, value } = setting
    const before = name !== '' ? this.#named.get(name) : index <= LAST_LOCAL ? this.#locals[this.#locals.length - 1]?.get(index) : this.#common.get(index)
    // A value that is stored again changes nothing, so that a loop which does only that never ends.
    if (value === undefined || !Object.is(before, value)) this.version++
    this.#revision++
    if (name !== '') {
      if (!this.#rules.named) return false
      this.#named.set(name, value ?? Number.NaN)
      return true
    }
    if (index < 1 || index > (this.#rules.last ?? Infinity)) return false
    if (index <= LAST_LOCAL) {
      const locals = this.#locals[this.#locals.length - 1]
      if (value === undefined) locals?.delete(index)
      else locals?.set(index, value)
      return true
    }
    if (this.system?.read(index) !== undefined) return this.system.write(index, value ?? 0)
    if (value === undefined) this.#common.delete(index)
    else this.#common.set(index, value)
    return true
  }

  /** A call begins with local variables of its own. */
  enter(locals: ReadonlyMap<number, number>): void {
    this.#revision++
    this.#locals.push(new Map(locals))
  }

  leave(): void {
    this.#revision++
    if (this.#locals.length > 1) this.#locals.pop()
  }

  snapshot(): VariableSnapshot {
    if (this.#kept?.revision === this.#revision) return this.#kept.snapshot
    const snapshot = { common: new Map(this.#common), named: new Map(this.#named), locals: this.#locals.map(each => new Map(each)) }
    this.#kept = { revision: this.#revision, snapshot }
    return snapshot
  }

  restore(snapshot: VariableSnapshot): void {
    this.#revision++
    this.#common = new Map(snapshot.common)
    this.#named = new Map(snapshot.named)
    this.#locals = snapshot.locals.map(each => new Map(each))
  }
}
