import { decimalsOf } from '../../../shared/bound-text.ts'

// How figures are shown to the user: lengths in the unit of the program, angles in degrees.

/** The unit a program is written in: millimetres for one of it. */
export type LengthUnit = 1 | 25.4

/** A length with its unit; three decimals of a millimetre, four of an inch. */
export function lengthText(mm: number, unit: LengthUnit): string {
  return `${lengthNumber(mm, unit)} ${unitName(unit)}`
}

export function lengthNumber(mm: number, unit: LengthUnit): string {
  return plain((mm / unit).toFixed(decimalsOf(unit)))
}

export function unitName(unit: LengthUnit): string {
  return unit === 1 ? 'mm' : 'inch'
}

export function degreesText(radians: number): string {
  return `${plain((radians * 180 / Math.PI).toFixed(3))}°`
}

/** A part of a direction. */
export function directionNumber(part: number): string {
  return plain(part.toFixed(5))
}

/** A time as short as it can be said. */
export function timeText(seconds: number): string {
  if (seconds < 1) return `${plain(seconds.toFixed(3))} s`
  if (seconds < 60) return `${plain(seconds.toFixed(1))} s`
  return `${Math.floor(seconds / 60)} min ${Math.round(seconds % 60)} s`
}

/** Without a sign in front of nothing but zeros. */
function plain(digits: string): string {
  return /^-0(\.0*)?$/.test(digits) ? digits.slice(1) : digits
}
