/** Asks whether whoever wanted the answer has gone away. Cheap enough for an inner loop. */
export interface Cancellation {
  readonly cancelled: () => boolean
}

export const neverCancelled: Cancellation = { cancelled: () => false }
