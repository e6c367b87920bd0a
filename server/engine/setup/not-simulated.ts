import type { Setup } from '../../../shared/setup.ts'
import type { Fields } from './fields.ts'

/** What the format can say and the search does not look at yet; said once for each, at its key. */
const waiting: readonly { readonly key: string, readonly given: (setup: Setup) => boolean, readonly lost: string }[] = [
  { key: 'stock', given: setup => setup.stock !== undefined, lost: 'The stock is read but not simulated yet: rapids into standing stock and material left over are not found' },
]

/** A check the user may count on is never silently off. */
export function sayNotSimulated(sheet: Fields, setup: Setup): void {
  for (const { key, given, lost } of waiting) {
    if (given(setup)) sheet.notes.say(sheet.keySpanOf(key), `${lost}.`, { rule: 'not-checked', level: 'warning' })
  }
}
