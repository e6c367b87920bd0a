import type { Problem } from '../../../shared/problem.ts'
import type { Span } from '../../../shared/span.ts'

/** Where a problem of a mesh is shown: in the sheet, at the mesh's name; the mesh file itself where no sheet named it. */
export interface MeshPlace {
  readonly file: string
  readonly span: Span
}

export function placeOf(name: string, place: MeshPlace | undefined): MeshPlace {
  return place ?? { file: name, span: { start: 0, end: 0 } }
}

export function meshProblem(rule: string, message: string, { file, span }: MeshPlace): Problem {
  return { rule, file, span, message }
}

/** 1234567 as `1,234,567`. */
export function count(n: number): string {
  return String(n).replace(/\B(?=(\d{3})+$)/g, ',')
}

/** `1 facet`, `2 facets`. */
export function facets(n: number): string {
  return `${count(n)} ${n === 1 ? 'facet' : 'facets'}`
}

/** More would not fit into memory together with their tree. */
export const MOST_TRIANGLES = 20_000_000

/** Three figures of a number. */
export function figure(n: number): string {
  return String(Number(n.toPrecision(3)))
}

/** A corner as an operator reads it: `X1 Y2.5 Z-3`, mm. */
export function pointOf(corners: Float64Array, at: number): string {
  return ['X', 'Y', 'Z'].map((letter, k) => `${letter}${Number(corners[at + k].toFixed(3)) + 0}`).join(' ')
}
