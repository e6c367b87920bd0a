import { heightReach } from '../geometry/tolerance.ts'
import type { StockCover } from './stock-cover.ts'

/**
 * What stands over each sample of the mesh, or how deep it was cut: the lowest place on the sample's normal
 * that the cutter reaches in all feed moves, mm; above 0 material is left, below 0 it is cut too deep.
 */
export interface HeightFigures {
  /** As attained; `heightReach` where no pass comes that near. Never below −heightReach: deeper is not measured. */
  readonly value: Float64Array
  /** The true height is not below this where the search was given up; Infinity elsewhere. */
  readonly gaveUp: Float32Array
  /** The motion that came lowest, or -1 where none came within reach. */
  readonly motion: Int32Array
}

/** Nothing cut yet. `share`: on shared memory, so that threads write into it. */
export function newHeightFigures(count: number, share: boolean): HeightFigures {
  const bytes = (size: number) => share ? new SharedArrayBuffer(size) : new ArrayBuffer(size)
  return {
    value: new Float64Array(bytes(count * 8)).fill(heightReach),
    gaveUp: new Float32Array(bytes(count * 4)).fill(Infinity),
    motion: new Int32Array(bytes(count * 4)).fill(-1),
  }
}

/**
 * What stands over each sample after all cuts, mm: where no cut came so low, what the stock has there. Infinity where
 * nobody knows.
 */
export function standingOver({ value, motion }: HeightFigures, cover: StockCover | undefined): Float64Array {
  return Float64Array.from(value, (height, i) => {
    const cut = motion[i] < 0 ? Infinity : height
    return cut <= 0 || cover === undefined ? cut : Math.min(cut, cover(i))
  })
}

/** Lower end of the interval whose upper end is what stands over a sample. */
export function leastStanding(figures: HeightFigures, standing: Float64Array, sample: number, epsilon: number): number {
  // Farther out than the search looks a pass may have cut it lower than it came.
  const cut = figures.motion[sample] < 0 ? heightReach - epsilon : certifiedHeight(figures, sample, epsilon)
  return Math.min(cut, standing[sample])
}

/** Middles of the intervals of what stands over the samples, and half their widths, mm; NaN where nobody knows. */
export function heightsOver(figures: HeightFigures, standing: Float64Array, epsilon: number): { readonly heights: Float32Array, readonly bounds: Float32Array } {
  const heights = new Float32Array(standing.length), bounds = new Float32Array(standing.length)
  for (let i = 0; i < standing.length; i++) {
    const high = standing[i] < Infinity ? standing[i] : NaN, low = leastStanding(figures, standing, i, epsilon)
    heights[i] = (high + low) / 2
    bounds[i] = (high - low) / 2
  }
  return { heights, bounds }
}

/** The true height is not below this, mm. */
export function certifiedHeight(figures: HeightFigures, sample: number, epsilon: number): number {
  return Math.min(figures.value[sample] - epsilon, figures.gaveUp[sample])
}
