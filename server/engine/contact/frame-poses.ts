import { RIGID_STRIDE, type FrameMotion } from '../../../shared/frame-motion.ts'

/** Halvings of time after which a search of two bodies gives up. */
export const deepestBodyHalving = 10

/** Moments a pose is asked for: ends and middles of all time cells. */
const moments = 2 << deepestBodyHalving

/** The exact poses of one frame in another at the ends and middles of the time cells, each computed once a motion. */
export class FramePoses {
  readonly motion: FrameMotion
  readonly numbers = new Float64Array((moments + 1) * RIGID_STRIDE)
  readonly #stamps = new Uint32Array(moments + 1)
  #stamp = 0
  #motionInHand = -1

  constructor(motion: FrameMotion) {
    this.motion = motion
  }

  /** Takes motion i in hand, once, however many pairs ask for it. */
  begin(i: number): void {
    if (this.#motionInHand === i) return
    this.#motionInHand = i
    this.#stamp++
    this.motion.begin(i)
  }

  /** Where in `numbers` the pose of that moment stands. */
  at(moment: number): number {
    const place = moment * RIGID_STRIDE
    if (this.#stamps[moment] !== this.#stamp) {
      this.#stamps[moment] = this.#stamp
      this.motion.poseAt(moment / moments, this.numbers, place)
    }
    return place
  }
}

/** First moment of a time cell; cell 1 is the whole motion, cells 2k and 2k + 1 the halves of cell k. */
export function firstMoment(cell: number): number {
  const depth = 31 - Math.clz32(cell)
  return (cell - (1 << depth)) * (moments >> depth)
}

/** Half of a time cell, in moments and in time. */
export function halfMoments(cell: number): number {
  return moments >> (32 - Math.clz32(cell))
}

export function halfTime(cell: number): number {
  return halfMoments(cell) / moments
}

export function momentTime(moment: number): number {
  return moment / moments
}
