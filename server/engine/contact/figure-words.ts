import type { Point } from '../../../shared/finding.ts'

// How figures of contact are written in messages.

/** A length with its bound, no finer than the bound allows: "0.031 mm (± 0.001 mm)". */
export function figure(value: number, bound: number): string {
  return bound < 0.0005 ? mm(value) : `${mm(value)} (± ${mm(bound)})`
}

export function mm(value: number): string {
  return `${value.toFixed(3)} mm`
}

export function place(point: Point): string {
  return `X${point[0].toFixed(2)} Y${point[1].toFixed(2)} Z${point[2].toFixed(2)}`
}
