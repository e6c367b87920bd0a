import type { Axis } from '../../../shared/machine.ts'
import type { ModalState } from './modal-state.ts'

// Length and feed to seconds. NISTIR 6556 2.1.2.5 and 3.5.19.

/** What a feed move covers. */
export interface Travel {
  /** Of the programmed point along X Y Z, mm. */
  readonly length: number
  /** Root of the squared sums of the rotary axes, radians. */
  readonly turn: number
}

/**
 * Seconds of a feed move; 0 where feed or spindle speed is not known.
 * While X, Y or Z move, F is their speed along the path as if the rotary axes stood still; when only
 * rotary axes move, F is degrees per minute along the root of their squared sums.
 */
export function feedSeconds(state: ModalState, travel: Travel, unit: number, inverseTime: 'per-minute' | 'seconds'): number {
  const feed = state.feed
  if (feed === undefined || !(feed > 0)) return 0
  if (state.feedMode === 93) return inverseTime === 'seconds' ? feed : 60 / feed
  const isLinear = travel.length > 0
  const distance = isLinear ? travel.length / unit : travel.turn * 180 / Math.PI
  if (state.feedMode !== 95) return distance / feed * 60
  const speed = state.speed
  if (speed === undefined || !(speed > 0)) return 0
  return distance / (feed * speed) * 60
}

/** Longest time an axis needs at its rapid rate; axes without a rate count as nothing. */
export function rapidSeconds(axes: readonly Axis[], from: ArrayLike<number>, to: ArrayLike<number>): number {
  let seconds = 0
  for (let j = 0; j < axes.length; j++) seconds = Math.max(seconds, rapidTime(axes, from, to, j))
  return seconds
}

/**
 * Moments at which axes arrive when each runs at its own rapid rate, seconds, rising, without
 * repeats. Undefined when a moving axis has no rate: then the ways cannot be told apart.
 */
export function rapidArrivals(axes: readonly Axis[], from: ArrayLike<number>, to: ArrayLike<number>): number[] | undefined {
  const arrivals: number[] = []
  for (let j = 0; j < axes.length; j++) {
    if ((to[j] ?? 0) === (from[j] ?? 0)) continue
    const time = rapidTime(axes, from, to, j)
    if (time === 0) return undefined
    arrivals.push(time)
  }
  arrivals.sort((a, b) => a - b)
  // Arrivals within a nanosecond are one: rounding, not a leg.
  return arrivals.filter((time, i) => i === arrivals.length - 1 || (arrivals[i + 1] ?? 0) - time > 1e-9)
}

/** Where joint j stands `time` seconds into a rapid. */
export function rapidJointAt(axes: readonly Axis[], from: ArrayLike<number>, to: ArrayLike<number>, j: number, time: number): number {
  const start = from[j] ?? Number.NaN, end = to[j] ?? Number.NaN
  const whole = rapidTime(axes, from, to, j)
  return time >= whole - 1e-9 ? end : start + (end - start) * time / whole
}

function rapidTime(axes: readonly Axis[], from: ArrayLike<number>, to: ArrayLike<number>, j: number): number {
  const rate = axes[j]?.rapid
  const way = Math.abs((to[j] ?? 0) - (from[j] ?? 0))
  return rate !== undefined && rate > 0 && way > 0 ? way / rate : 0
}
