// The JSON of a glTF file as it comes: every value is looked at before it is used.

export type Json = Readonly<Record<string, unknown>>

export function recordOf(value: unknown): Json {
  return typeof value === 'object' && value !== null && !Array.isArray(value) ? value as Json : {}
}

export function listOf(value: unknown): readonly unknown[] {
  return Array.isArray(value) ? value : []
}

/** A whole number of 0 or more. */
export function indexOf(value: unknown): number | undefined {
  return typeof value === 'number' && Number.isSafeInteger(value) && value >= 0 ? value : undefined
}

export function textIn(value: unknown): string {
  return typeof value === 'string' ? value : ''
}

/** As many numbers, every one finite. */
export function numbersOf(value: unknown, size: number): readonly number[] | undefined {
  const list = listOf(value)
  return list.length === size && list.every(entry => typeof entry === 'number' && Number.isFinite(entry)) ? list as readonly number[] : undefined
}
