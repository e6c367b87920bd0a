// The nine work offsets in the order of their numbers: NISTIR 6556 3.5.13.

const names: readonly string[] = ['G54', 'G55', 'G56', 'G57', 'G58', 'G59', 'G59.1', 'G59.2', 'G59.3']

/** `G54` for 1. */
export function offsetName(number: number): string {
  return names[number - 1] ?? 'G54'
}

/** 1 for `G54`; undefined for the further ones. */
export function offsetNumber(name: string): number | undefined {
  const at = names.indexOf(name)
  return at < 0 ? undefined : at + 1
}

/** The offset that `G10 L2 P…` and `G10 L20 P…` write; undefined where there is none. */
export function writtenOffsetName(list: number, number: number): string | undefined {
  if (list === 2) return Number.isInteger(number) ? names[number - 1] : undefined
  return list === 20 && Number.isInteger(number) && number >= 1 ? `G54.1 P${number}` : undefined
}
