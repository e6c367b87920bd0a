import { FacetUse } from './mesh-topology.ts'
import type { WeldedMesh } from './weld-corners.ts'

// How far the flat facets may lie from the smooth surface they stand for.
//
// The surface's normal at a vertex is taken as the mean of the facets' normals round it, each with
// its angle there as weight (Thürmer & Wüthrich 1998), over the facets that turn from this one by
// less than the crease angle. Between two points p, q of a surface with unit normals m, n, the
// parabola that fits both rises above the chord by
//
//     s = (n - m) · (q - p) / 8          at its middle,
//
// the cubic Hermite curve's midpoint for small angles; L² / 8R on a circle of radius R. Over a
// triangle with quadratic sides s1 s2 s3 the middle rises by 4/9 (s1 + s2 + s3): the value of
// 4 (s1 λ1 λ2 + s2 λ2 λ3 + s3 λ3 λ1) at λ = 1/3; a² / 6R for an equilateral facet of side a on a
// sphere. The estimate of a facet is the largest of these four.

/** Facets that meet at more than this are taken for an edge of the design: 30 degrees. */
const CREASE = Math.cos(30 * Math.PI / 180)
/** All facets within half the crease angle of their mean are within the crease angle of each other. */
const HALF_CREASE = Math.cos(15 * Math.PI / 180)
/** Round a vertex with more facets than this, a tip or a hub, each facet keeps its own normal. */
const MOST_ROUND_A_VERTEX = 64

/** Estimate for each facet, mm; nil for those not kept. */
export function estimateChordErrors(corners: Float64Array, mesh: WeldedMesh, use: Uint8Array): Float32Array {
  const { normals, angles } = facetNormals(corners, mesh, use)
  const smooth = cornerNormals(mesh, use, normals, angles)
  const errors = new Float32Array(mesh.triangleCount)
  for (let t = 0; t < mesh.triangleCount; t++) {
    if (use[t] !== FacetUse.kept) continue
    const s1 = rise(corners, smooth, 9 * t, 9 * t + 3), s2 = rise(corners, smooth, 9 * t + 3, 9 * t + 6), s3 = rise(corners, smooth, 9 * t + 6, 9 * t)
    errors[t] = Math.max(Math.abs(s1), Math.abs(s2), Math.abs(s3), Math.abs(s1 + s2 + s3) * (4 / 9))
  }
  return errors
}

function rise(corners: Float64Array, normals: Float32Array, i: number, j: number): number {
  return ((normals[j] - normals[i]) * (corners[j] - corners[i])
    + (normals[j + 1] - normals[i + 1]) * (corners[j + 1] - corners[i + 1])
    + (normals[j + 2] - normals[i + 2]) * (corners[j + 2] - corners[i + 2])) / 8
}

/** Unit normal of each facet and its angle at each corner; nil for those not kept. */
function facetNormals(corners: Float64Array, mesh: WeldedMesh, use: Uint8Array): { normals: Float32Array, angles: Float32Array } {
  const normals = new Float32Array(3 * mesh.triangleCount), angles = new Float32Array(3 * mesh.triangleCount)
  for (let t = 0; t < mesh.triangleCount; t++) {
    if (use[t] !== FacetUse.kept) continue
    const i = 9 * t
    const ux = corners[i + 3] - corners[i], uy = corners[i + 4] - corners[i + 1], uz = corners[i + 5] - corners[i + 2]
    const vx = corners[i + 6] - corners[i], vy = corners[i + 7] - corners[i + 1], vz = corners[i + 8] - corners[i + 2]
    const nx = uy * vz - uz * vy, ny = uz * vx - ux * vz, nz = ux * vy - uy * vx
    const length = Math.sqrt(nx * nx + ny * ny + nz * nz)
    const dot = ux * vx + uy * vy + uz * vz
    normals[3 * t] = nx / length
    normals[3 * t + 1] = ny / length
    normals[3 * t + 2] = nz / length
    const first = Math.atan2(length, dot)
    const second = Math.atan2(length, ux * ux + uy * uy + uz * uz - dot)
    angles[3 * t] = first
    angles[3 * t + 1] = second
    angles[3 * t + 2] = Math.PI - first - second
  }
  return { normals, angles }
}

/** The smooth normal at each corner, 3 numbers a corner. */
function cornerNormals(mesh: WeldedMesh, use: Uint8Array, normals: Float32Array, angles: Float32Array): Float32Array {
  const { vertexCount, fanStart, fan } = mesh
  const smooth = new Float32Array(9 * mesh.triangleCount)
  const sum = new Float64Array(3)
  for (let v = 0; v < vertexCount; v++) {
    const start = fanStart[v], end = fanStart[v + 1]
    const single = end - start > MOST_ROUND_A_VERTEX
    if (!single && isSmooth(start, end, sum)) {
      for (let f = start; f < end; f++) smooth.set(sum, 3 * fan[f])
      continue
    }
    for (let f = start; f < end; f++) {
      const own = 3 * ((fan[f] / 3) | 0)
      sum.fill(0)
      for (let g = single ? f : start; g < (single ? f + 1 : end); g++) {
        const other = 3 * ((fan[g] / 3) | 0)
        const dot = normals[own] * normals[other] + normals[own + 1] * normals[other + 1] + normals[own + 2] * normals[other + 2]
        if (dot >= CREASE || g === f) addScaled(sum, normals, other, angles[fan[g]])
      }
      normalise(sum)
      smooth.set(sum, 3 * fan[f])
    }
  }
  return smooth

  /** Leaves the mean normal in `mean`; true where it serves every facet of the fan. */
  function isSmooth(start: number, end: number, mean: Float64Array): boolean {
    mean.fill(0)
    for (let f = start; f < end; f++) addScaled(mean, normals, 3 * ((fan[f] / 3) | 0), angles[fan[f]])
    normalise(mean)
    for (let f = start; f < end; f++) {
      const t = (fan[f] / 3) | 0
      if (use[t] !== FacetUse.kept) continue
      if (mean[0] * normals[3 * t] + mean[1] * normals[3 * t + 1] + mean[2] * normals[3 * t + 2] < HALF_CREASE) return false
    }
    return true
  }
}

function addScaled(sum: Float64Array, normals: Float32Array, at: number, weight: number): void {
  sum[0] += weight * normals[at]
  sum[1] += weight * normals[at + 1]
  sum[2] += weight * normals[at + 2]
}

function normalise(v: Float64Array): void {
  const length = Math.sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2])
  if (length === 0) return
  v[0] /= length
  v[1] /= length
  v[2] /= length
}
