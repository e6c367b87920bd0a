import { leftScale } from '../../shared/left-scale.ts'
import { NO_MOTION } from '../../shared/protocol/result-messages.ts'
import type { ResultDescription } from '../../shared/protocol/result-messages.ts'
import type { PlaceMap } from './place-map.ts'

/** The arrays that a result names. */
export interface ResultArrays {
  readonly points: Float32Array
  readonly heights: Float32Array
  readonly bounds: Float32Array
  readonly motions: Uint32Array
}

/**
 * What is left on the part at each point where a pass comes near: above 0 material stands, below 0 it is cut too deep. The
 * farthest from the surface come last, so that they are drawn over the others.
 */
export function leftPlaces({ allowed, area, reached, isOvercutLeast }: ResultDescription, { points, heights, bounds, motions }: ResultArrays): PlaceMap {
  const found = Uint32Array.from(motions.keys()).filter(i => motions[i] !== NO_MOTION)
  found.sort((a, b) => Math.abs(heights[a]) - Math.abs(heights[b]))
  const positions = new Float32Array(found.length * 3), values = new Float32Array(found.length), certified = new Float32Array(found.length)
  found.forEach((i, k) => {
    positions.set(points.subarray(i * 3, i * 3 + 3), k * 3)
    values[k] = heights[i] + bounds[i]
    certified[k] = heights[i] - bounds[i]
  })
  return {
    positions, values, certified,
    motions: found.map(i => motions[i]),
    ...leftScale(allowed),
    besides: `Passes come near ${(area > 0 ? 100 * reached / area : 0).toFixed(1)} % of the surface; the rest has no place.${isOvercutLeast ? ' A cutter of several pieces may cut deeper than is told.' : ''}`,
  }
}
