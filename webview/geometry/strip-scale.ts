// How a lane of the strip lays its figures out: values to heights, motions to places, and the marks between.

/** The motions from one edge of the strip to the other; parts of a motion count. */
export interface Window {
  readonly from: number
  readonly to: number
}

/** Least width of a window, motions. */
const NARROWEST = 4

/** The window that a zoom about a place leaves; `at`: 0 left to 1 right. */
export function zoomed({ from, to }: Window, factor: number, at: number, count: number): Window {
  const width = Math.min(count, Math.max(Math.min(NARROWEST, count), (to - from) / factor))
  return within({ from: from + (to - from - width) * at, to: from + (to - from - width) * at + width }, count)
}

export function shifted({ from, to }: Window, by: number, count: number): Window {
  return within({ from: from + by, to: to + by }, count)
}

/** The window that holds a motion: the same one, or moved just so far. */
export function holding(window: Window, motion: number, count: number): Window {
  if (motion >= window.from && motion + 1 <= window.to) return window
  const width = window.to - window.from
  return within({ from: motion + 0.5 - width / 2, to: motion + 0.5 + width / 2 }, count)
}

function within({ from, to }: Window, count: number): Window {
  const width = Math.min(count, to - from)
  const start = Math.min(Math.max(0, from), count - width)
  return { from: start, to: start + width }
}

/** Distances from a hundredth of a millimetre to centimetres in one lane: linear below this, mm, and by its logarithm above. */
const NEAR = 0.02

/** The place of a value on a scale; `near` keeps small values apart from one another and large ones on the picture. */
export function bent(value: number, scale: 'linear' | 'near'): number {
  return scale === 'linear' ? value : Math.asinh(value / NEAR)
}

/** Figures to write at the side: a few round ones of those between. */
export function ticksOf(low: number, high: number, scale: 'linear' | 'near'): readonly number[] {
  if (scale === 'near') return [-10, -1, -0.1, -0.01, 0, 0.01, 0.1, 1, 10, 100].filter(value => value >= low && value <= high)
  const power = 10 ** Math.floor(Math.log10(Math.max(high - low, 1e-12)))
  const step = [0.5, 1, 2, 5, 10].map(one => one * power).find(one => (high - low) / one <= 3) ?? power * 10
  const first = Math.ceil(low / step - 1e-9)
  return Array.from({ length: Math.max(0, Math.floor(high / step + 1e-9) - first + 1) }, (_, i) => (first + i) * step)
}
