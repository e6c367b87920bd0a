import { boundNumber } from '../../../shared/bound-text.ts'
import { components, type Component } from '../../../shared/finding.ts'
import { lengthNumber, unitName, type LengthUnit } from './number-text.ts'

/** Proven figures of one motion, one number for each of `components`. */
export interface MotionFigures {
  /** Smallest signed distance that is attained, mm; negative: inside the part. Infinity: farther than the search looked. */
  readonly value: ArrayLike<number>
  /** The true smallest distance is not below this. Infinity: the tool has no such component; −Infinity: not searched. */
  readonly certified: ArrayLike<number>
  /** Where known: the moment of the smallest distance, 0 to 1, and the point of the mesh there, three numbers a component, mm, part frame. */
  readonly time?: ArrayLike<number>
  readonly point?: ArrayLike<number>
}

/** What is proven of one component over a block. */
export interface Clearance {
  readonly component: Component
  /** Middle of the proven interval, mm; negative: penetration. When `beyond`, the distance it is farther than. */
  readonly value: number
  /** Half of the interval's width. */
  readonly bound: number
  /** Only known to be farther than `value`. */
  readonly beyond: boolean
}

/** The smallest distance of each component over the motions of a block; undefined where one was not searched. */
export function clearancesOf(motions: readonly MotionFigures[]): Clearance[] | undefined {
  const result: Clearance[] = []
  for (const [c, component] of components.entries()) {
    let lower = Infinity, upper = Infinity
    for (const { value, certified } of motions) {
      lower = Math.min(lower, certified[c] ?? -Infinity)
      upper = Math.min(upper, value[c] ?? Infinity)
    }
    if (lower === -Infinity) return undefined
    if (upper < Infinity) result.push({ component, value: (lower + upper) / 2, bound: (upper - lower) / 2, beyond: false })
    else if (lower < Infinity) result.push({ component, value: lower, bound: 0, beyond: true })
  }
  return result
}

/** "neck: 0.420 mm clear (±0.001)". */
export function clearanceText({ component, value, bound, beyond }: Clearance, unit: LengthUnit): string {
  const figure = `${lengthNumber(Math.abs(value), unit)} ${unitName(unit)}`
  if (beyond) return `${component}: more than ${figure} clear`
  return `${component}: ${figure} ${value < 0 ? 'deep' : 'clear'} (±${boundNumber(bound, unit)})`
}
