import type { ScaleRange } from './colour-scale.ts'

/** What the sheet allows on the part, mm: material that may stand (with the stock to leave), and depth of a cut (less the stock to leave, so it may be negative). */
export interface AllowedOnPart {
  readonly leftover: number
  readonly gouge: number
}

/** The figures between which the colours of what is left go from one end to the other, and the limits to mark, mm: deepest cut and tallest material. */
export function leftScale({ leftover, gouge }: AllowedOnPart): ScaleRange & { readonly scale: 'sides', readonly limits: readonly [number, number] } {
  // What counts lies about the limits: what is far from them has the colours of the ends, and the surface itself that of the middle.
  return { scale: 'sides', low: -Math.max(0.01, 5 * gouge), middle: 0, high: Math.max(0.01, 2 * leftover), limits: [-gouge, leftover] }
}
