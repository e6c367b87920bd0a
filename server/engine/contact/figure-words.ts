import { boundText } from '../../../shared/bound-text.ts'
import type { Point } from '../../../shared/finding.ts'

// How figures of contact are written in messages.

/** mm. Beyond this half-width a figure is given by both ends of its interval. */
const wideBound = 0.02

/** mm. How deep something stands in solid stock is not measured beyond this. */
export const grossDepth = 1

/** A length with its bound, no finer than the bound allows: "0.031 mm (± 0.001 mm)". */
export function figure(value: number, bound: number): string {
  // A search that gave up has a wide interval: its ends say more than its middle.
  if (bound > wideBound) return `between ${mm(Math.max(0, value - bound))} and ${mm(value + bound)}`
  return bound < 0.0005 ? mm(value) : `${mm(value)} (± ${boundText(bound)} mm)`
}

/** How near something comes: "comes within 0.031 mm (± 0.001 mm) of the part". */
export function nearness(value: number, bound: number, what: string): string {
  return bound > wideBound ? `stands ${figure(value, bound)} from ${what}` : `comes within ${figure(value, bound)} of ${what}`
}

export function mm(value: number): string {
  return `${value.toFixed(3)} mm`
}

export function place(point: Point): string {
  return `X${point[0].toFixed(2)} Y${point[1].toFixed(2)} Z${point[2].toFixed(2)}`
}
