import type { Problem } from '../../../shared/problem.ts'
import { count, facets, type MeshPlace, meshProblem, placeOf } from './mesh-place.ts'

// What every reader of a mesh file yields, and how it is put into words.

export interface ReadMesh {
  /** 9 numbers a triangle, file units, every one finite; absent where the file cannot be used. */
  readonly corners?: Float64Array
  /** Millimetres for one unit of the file, where the file itself says its unit. */
  readonly unit?: FileUnit
  readonly problems: Problem[]
}

/** A unit that a file states, or that its format has by specification. */
export interface FileUnit {
  readonly mm: number
  /** For a message: `inches`. */
  readonly name: string
}

/** What a form of the file yields before it is put into words. */
export interface MeshFacets {
  readonly corners: Float64Array
  /** Facets left out because a corner was not a number. */
  readonly notFinite: number
  /** Facets left out because they have fewer than three corners, or corners that the file does not hold. */
  readonly unusable?: number
  readonly unit?: FileUnit
  /** What is odd about the file although its facets could be read: sentences that follow the file's name. */
  readonly remarks?: readonly string[]
}

export type MeshResult = MeshFacets | { readonly failure: string }

/** `name`: how messages call the file. */
export function concludeMesh(result: MeshResult, name: string, place: MeshPlace | undefined): ReadMesh {
  const where = placeOf(name, place)
  if ('failure' in result) return { problems: [meshProblem('mesh-unreadable', `${name} ${result.failure}`, where)] }
  const { corners, notFinite, unusable = 0, unit, remarks = [] } = result
  const problems: Problem[] = []
  const whole = corners.length / 9 + notFinite + unusable
  if (corners.length === 0) {
    const why = whole === 0
      ? 'holds no facets; there is nothing to check against. Export the part again'
      : unusable === 0
        ? `holds ${facets(notFinite)}, none of which has numbers for all its corners. Export the part again`
        : `holds ${facets(whole)}, none of which has three corners with numbers. Export the part again`
    return { problems: [meshProblem('mesh-unreadable', `${name} ${why}.`, where)] }
  }
  if (notFinite > 0) {
    problems.push(meshProblem('mesh-damaged', `${name}: ${facets(notFinite)} of ${count(whole)} left out, because a corner is no finite number. Nothing is checked in their place; export the part again.`, where))
  }
  if (unusable > 0) {
    problems.push(meshProblem('mesh-damaged', `${name}: ${facets(unusable)} of ${count(whole)} left out, because they have fewer than three corners or name corners that the file does not hold. Nothing is checked in their place; export the part again.`, where))
  }
  for (const remark of remarks) problems.push(meshProblem('mesh-damaged', `${name} ${remark}`, where))
  return unit === undefined ? { corners, problems } : { corners, unit, problems }
}
