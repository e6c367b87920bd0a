import type { Stock } from '../../../shared/setup.ts'
import { distanceToMesh } from '../mesh/mesh-distance.ts'
import type { MeshTree } from '../mesh/mesh-tree.ts'
import type { SurfaceSamples } from './surface-samples.ts'

/** mm. A sample this far outside the stock lies on its skin. */
const skin = 1e-6

/** mm. How near the end of an offset's stock on a line is come to. */
const fine = 1e-4

/** Steps along a line on the way out of an offset's stock. */
const mostSteps = 200

/**
 * How far the stock reaches over a sample, along its normal, mm: as it came, before any cut. 0 where the
 * sample lies outside it or on its skin. Undefined where no stock is known, or its form says nothing here.
 */
export type StockCover = (sample: number) => number

export function stockCover(stock: Stock | undefined, samples: SurfaceSamples, part: MeshTree): StockCover | undefined {
  if (stock === undefined) return undefined
  const { points, normals } = samples
  switch (stock.kind) {
    case 'box':
      return sample => Math.max(0, Math.min(...[0, 1, 2].map(k => outOf(points[sample * 3 + k], normals[sample * 3 + k], stock.min[k], stock.max[k]))))
    case 'cylinder':
      return sample => {
        const at = sample * 3
        return Math.max(0, Math.min(
          outOf(points[at + 2], normals[at + 2], stock.bottom, stock.top),
          outOfCircle(points[at], points[at + 1], normals[at], normals[at + 1], stock.diameter / 2),
        ))
      }
    case 'offset':
      return sample => outOfOffset(part, points, normals, sample * 3, stock.offset)
    case 'mesh':
    case 'from':
      return undefined
    default:
      return stock satisfies never
  }
}

/** Way along one axis out of [low, high], or -1 from outside; Infinity where the line runs along it. */
function outOf(at: number, direction: number, low: number, high: number): number {
  if (at < low - skin || at > high + skin) return -1
  if (direction === 0) return Infinity
  return ((direction > 0 ? high : low) - at) / direction
}

function outOfCircle(x: number, y: number, dx: number, dy: number, radius: number): number {
  if (Math.hypot(x, y) > radius + skin) return -1
  const square = dx * dx + dy * dy
  if (square === 0) return Infinity
  const along = x * dx + y * dy
  return (Math.sqrt(Math.max(0, along * along - square * (x * x + y * y - radius * radius))) - along) / square
}

/** Steps of what is lacking to the offset never pass its end, since the distance grows no faster than one goes. */
function outOfOffset(part: MeshTree, points: Float64Array, normals: Float32Array, at: number, offset: number): number {
  let s = offset
  for (let step = 0; step < mostSteps; step++) {
    const lacking = offset - distanceToMesh(part, points[at] + s * normals[at], points[at + 1] + s * normals[at + 1], points[at + 2] + s * normals[at + 2], offset)
    if (lacking <= fine) break
    s += lacking
  }
  return s
}
