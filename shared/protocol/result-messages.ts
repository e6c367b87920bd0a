import type { Point } from '../finding.ts'
import type { AllowedOnPart } from '../left-scale.ts'

// What is left on the part, as server and viewer tell each other. Lengths mm, part frame.

/** `waiting`: not measured yet; `toolwake/sceneChanged` tells when to ask again. `absent`: it will not be, and why, as a sentence. */
export type ResultAnswer =
  | { readonly waiting: true }
  | { readonly absent: string }
  | ResultDescription

/**
 * How high material stands over the mesh after all feed moves, and how deep they went below it, at samples: every
 * vertex, and points laid into large facets.
 */
export interface ResultDescription {
  readonly version: number
  readonly samples: number
  /** No point of the mesh lies farther than this from a sample, mm. */
  readonly spacing: number
  /** Heights are followed this far out and this deep, mm. */
  readonly reach: number
  readonly allowed: AllowedOnPart
  /** Surface of the mesh; what passes come near of it; where no more stands than may, mm². */
  readonly area: number
  readonly reached: number
  readonly finished: number
  readonly leftover?: PlacedHeight
  readonly overcut?: PlacedHeight
  /** A cutter of several convex pieces may have cut deeper than the heights tell. */
  readonly isOvercutLeast: boolean
  /** Buffer: Float32Array, x y z of each sample, part frame, mm. */
  readonly points: string
  /** Buffer: Float32Array, height of each sample, mm: above 0 material stands, below 0 it is cut too deep; NaN where nobody knows. */
  readonly heights: string
  /** Buffer: Float32Array, half-width of the proven interval about each height, mm. */
  readonly bounds: string
  /** Buffer: Uint32Array, the motion that came lowest at each sample; NO_MOTION where none came near. */
  readonly motions: string
}

export const NO_MOTION = 0xffffffff

export interface PlacedHeight {
  /** Middle of the proven interval and half its width, mm. */
  readonly value: number
  readonly bound: number
  readonly point: Point
}
