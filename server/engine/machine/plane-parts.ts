import type { Triple } from '../../../shared/setup.ts'
import { layPlane, type TiltedPlane } from './tilted-plane.ts'

// Tilted planes that are laid by several blocks, part by part: by points, or by directions. Common practice.

/** What the blocks have said so far, by the number of the part. Plain data, replaced and never changed. */
export interface PlaneParts {
  readonly form: 'points' | 'vectors'
  readonly parts: Readonly<Record<number, PlanePart>>
}

/** X Y Z in mm and I J K, each nought where it is not written. */
export interface PlanePart { readonly point: Triple, readonly direction: Triple }

/** Parts of a form, by number. */
export const partsOf = { points: [1, 2, 3], vectors: [1, 2] } as const

/** The plane that all parts together lay; undefined while one is lacking, or where they span none. */
export function planeOfParts({ form, parts }: PlaneParts): TiltedPlane | 'none' | undefined {
  const [first, second, third] = [parts[1], parts[2], parts[3]]
  if (first === undefined || second === undefined) return undefined
  if (form === 'vectors') return layPlane(first.point, first.direction, second.direction) ?? 'none'
  if (third === undefined) return undefined
  const along = less(second.point, first.point), beside = less(third.point, first.point)
  return layPlane(first.point, along, cross(along, beside)) ?? 'none'
}

function less(a: Triple, b: Triple): Triple {
  return [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

function cross(a: Triple, b: Triple): Triple {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}
