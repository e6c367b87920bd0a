import type { NearFigure } from '../contact/near-figure.ts'

/** Bits of `StockFigures.marks`. */
export const StockMark = {
  /** The motion takes material away. */
  met: 1,
  /** It still does where it ends. */
  metAtEnd: 2,
  /** Material is met by the middle of the tool's end. */
  centre: 4,
  /** It goes into the material along its axis. */
  plunge: 8,
} as const

/** What the stock says about every motion of a program; plain data. */
export interface StockFigures {
  readonly count: number
  /** Motions simulated, from the first on: fewer than `count` where nobody waited any more. */
  readonly done: number
  /** mm³ that each motion takes away. */
  readonly removed: Float32Array
  /** Share of each motion's time in which it takes material away, 0..1. */
  readonly share: Float32Array
  /** mm: extent of the material that the motion takes, along the tool's axis and across axis and feed; good to a pitch. */
  readonly depth: Float32Array
  readonly width: Float32Array
  readonly marks: Uint8Array
  /** Where components that do not cut, or anything in a rapid, come into the material or so near that the rays cannot tell. */
  readonly near: readonly NearFigure[]
  /** mm. Widest distance of neighbouring rays. */
  readonly pitch: number
  /** mm. Material between the rays may reach this far beyond what they meet. */
  readonly bound: number
  /** mm. By so much less than the tool sweeps may have been taken away. */
  readonly shortfall: number
  /** mm³ before the first motion and after the last. */
  readonly initial: number
  readonly remaining: number
  /** Bytes of the rays. */
  readonly bytes: number
}
