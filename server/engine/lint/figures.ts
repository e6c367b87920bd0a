// How rules write figures: the user's units, no more digits than mean something.

const DEGREE = Math.PI / 180

/** An angle in radians as degrees. */
export function degrees(angle: number): string {
  return `${rounded(angle / DEGREE)}°`
}

/** A length in mm. */
export function millimetres(length: number): string {
  return `${rounded(length)} mm`
}

/** A joint's rate per second as the machine file states it: per minute. */
export function perMinute(ratePerSecond: number, kind: 'linear' | 'rotary'): string {
  return kind === 'rotary' ? `${rounded(ratePerSecond / DEGREE * 60)}°/min` : `${rounded(ratePerSecond * 60)} mm/min`
}

/** Whole from 100 on, else three significant digits and not more than three decimals. */
export function rounded(value: number): string {
  const size = Math.abs(value)
  if (!(size < 100)) return String(Math.round(value))
  const decimals = size >= 10 ? 1 : size >= 1 ? 2 : 3
  return String(Number(value.toFixed(decimals)))
}

/** "in 1 block", "in 12 blocks". */
export function blocks(count: number): string {
  return count === 1 ? '1 block' : `${count} blocks`
}
