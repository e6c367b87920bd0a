import type { MeshTree } from '../mesh/mesh-tree.ts'
import { weldCorners } from '../mesh/weld-corners.ts'
import { facetNormals, vertexNormals } from './vertex-normals.ts'
import { groupSamples, type SampleGroups } from './sample-groups.ts'
import { longestSide, splitFacet } from './split-facet.ts'

/** Points that are laid into large facets, at most, beside the vertices of the mesh: some 60 bytes and some microseconds each. */
export const mostExtraSamples = 250_000

/** mm. Facets are not divided finer than this, however small the part. */
export const finestSpacing = 0.1

/** A spacing that gives too many points is widened by this factor and tried again. */
const widening = 1.25

/**
 * The points of the mesh at which the result is measured: every vertex, and in facets with a side
 * longer than `spacing` the middles of the parts they are divided into. On shared memory where there is any.
 */
export interface SurfaceSamples {
  readonly count: number
  /** Three numbers a sample, mm, part frame; neighbours in space stand near each other. */
  readonly points: Float64Array
  /** Unit vectors out of the material: of a vertex, the mean of its facets weighed by their angles there. */
  readonly normals: Float32Array
  /** Surface that a sample stands for, mm². */
  readonly areas: Float32Array
  readonly groups: SampleGroups
  /** No point of the mesh lies farther than this from a sample, mm. */
  readonly spacing: number
  /** Where a sample went that was the i-th before they were put in order: vertices as they are first met, then the parts of facets. */
  readonly places: Uint32Array
}

/** The samples of a mesh; `spacing` in mm, as fine as the budget of points allows when absent. */
export function sampleSurface(mesh: MeshTree, share: boolean, spacing = spacingFor(mesh)): SurfaceSamples {
  const { corners, triangleCount } = mesh
  const { vertexOf, vertexCount } = weldCorners(corners)
  const ofFacets = facetNormals(corners)
  const ofVertices = vertexNormals(corners, ofFacets, vertexOf, vertexCount)
  const parts = countParts(mesh, spacing)
  const count = vertexCount + parts
  const points = new Float64Array(count * 3), normals = new Float32Array(count * 3), areas = new Float32Array(count)
  for (let corner = 0; corner < vertexOf.length; corner++) {
    const v = vertexOf[corner] * 3
    for (let k = 0; k < 3; k++) points[v + k] = corners[corner * 3 + k]
  }
  normals.set(ofVertices)
  let next = vertexCount
  for (let t = 0; t < triangleCount; t++) {
    const nx = ofFacets[t * 4], ny = ofFacets[t * 4 + 1], nz = ofFacets[t * 4 + 2], first = next
    const isDivided = splitFacet(corners, t * 9, spacing, (ax, ay, az, bx, by, bz, cx, cy, cz) => {
      points[next * 3] = (ax + bx + cx) / 3
      points[next * 3 + 1] = (ay + by + cy) / 3
      points[next * 3 + 2] = (az + bz + cz) / 3
      normals[next * 3] = nx
      normals[next * 3 + 1] = ny
      normals[next * 3 + 2] = nz
      areas[next] = doubleArea(bx - ax, by - ay, bz - az, cx - ax, cy - ay, cz - az) / 2
      next++
    })
    if (isDivided && next > first) continue
    for (let k = 0; k < 3; k++) areas[vertexOf[t * 3 + k]] += ofFacets[t * 4 + 3] / 3
  }
  return { ...groupSamples({ points, normals, areas }, share), spacing }
}

/** The finest spacing whose extra points keep the budget. */
export function spacingFor(mesh: MeshTree): number {
  let spacing = finestSpacing
  while (countParts(mesh, spacing, mostExtraSamples) > mostExtraSamples) spacing *= widening
  return spacing
}

/** Parts of divided facets; counted no further than a little beyond `enough`. */
function countParts({ corners, triangleCount }: MeshTree, spacing: number, enough = Infinity): number {
  let parts = 0
  for (let t = 0; t < triangleCount && parts <= enough; t++) {
    const longest = longestSide(corners, t * 9)
    if (longest <= spacing) continue
    // A large facet is not divided only to find that it is too large: halving a side leaves at least this many parts.
    if (enough < Infinity && longest / spacing > enough) return enough + 1
    parts += partsOf(corners, t * 9, spacing, enough - parts)
  }
  return parts
}

function partsOf(corners: Float64Array, at: number, spacing: number, enough: number): number {
  const area = doubleArea(
    corners[at + 3] - corners[at], corners[at + 4] - corners[at + 1], corners[at + 5] - corners[at + 2],
    corners[at + 6] - corners[at], corners[at + 7] - corners[at + 1], corners[at + 8] - corners[at + 2],
  ) / 2
  // No part is larger than the equilateral triangle with sides of the spacing.
  const least = area / (Math.sqrt(3) / 4 * spacing * spacing)
  if (least > enough) return Math.ceil(least)
  let parts = 0
  splitFacet(corners, at, spacing, () => parts++)
  return parts
}

function doubleArea(ux: number, uy: number, uz: number, vx: number, vy: number, vz: number): number {
  return Math.hypot(uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx)
}
