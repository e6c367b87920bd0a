import { spanAfter } from '../nc/text-change.ts'
import type { Move } from '../machine/run-visitor.ts'

/**
 * Carries plain data over an edit: every `{ start, end }` is a span of the program and every `motion` the number of
 * one; with a `file` beside them spans lie in another text and stay. Nothing else about the data has changed.
 */
export class CarryOver {
  /** A span lies in what the edit has changed: nothing that was carried is of use. */
  isLost = false
  readonly #move: Move

  constructor(move: Move) {
    this.#move = move
  }

  /** The value as it is behind the edit; the very value where it is no other. */
  of<T>(value: T): T {
    return this.#carry(value) as T
  }

  #carry(value: unknown): unknown {
    if (typeof value !== 'object' || value === null) return value
    if (Array.isArray(value)) {
      const list: readonly unknown[] = value, carried = list.map(each => this.#carry(each))
      return carried.every((each, i) => each === list[i]) ? value : carried
    }
    const fields = value as Readonly<Record<string, unknown>>
    if (typeof fields.start === 'number' && typeof fields.end === 'number') {
      const span = spanAfter({ start: fields.start, end: fields.end }, this.#move.change)
      this.isLost ||= span === undefined
      return span
    }
    const isElsewhere = typeof fields.file === 'string'
    let result: Record<string, unknown> | undefined
    for (const key in fields) {
      const field = fields[key]
      const carried = key === 'motion' && typeof field === 'number' ? field + this.#move.motions
        : isElsewhere && key === 'span' ? field : this.#carry(field)
      if (!Object.is(carried, field)) (result ??= { ...fields })[key] = carried
    }
    return result ?? fields
  }
}

/** Whether two pieces of plain data say the same; two not-a-numbers do. */
export function isAlike(a: unknown, b: unknown): boolean {
  if (Object.is(a, b)) return true
  if (typeof a !== 'object' || typeof b !== 'object' || a === null || b === null) return false
  const left = a as Readonly<Record<string, unknown>>, right = b as Readonly<Record<string, unknown>>
  const keys = Object.keys(left)
  return keys.length === Object.keys(right).length && keys.every(key => isAlike(left[key], right[key]))
}
