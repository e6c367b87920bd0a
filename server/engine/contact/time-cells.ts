// Time inside a motion is halved again and again: cell 1 is [0, 1], cells 2k and 2k + 1 are the
// halves of cell k. Middle and half-length of the cells are the same for every motion.

/** Halvings after which a search gives up rather than cut time finer. */
export const deepestHalving = 13

export const timeCellCount = 2 << deepestHalving

/** Cells below this number can still be halved. */
export const firstUncuttable = 1 << deepestHalving

export const cellMiddle = new Float64Array(timeCellCount)
export const cellHalf = new Float64Array(timeCellCount)

for (let depth = 0; depth <= deepestHalving; depth++) {
  const first = 1 << depth
  for (let k = 0; k < first; k++) {
    cellMiddle[first + k] = (2 * k + 1) / (2 * first)
    cellHalf[first + k] = 1 / (2 * first)
  }
}

/** Numbers of one pose: point 3, axis 3, velocity 3, turning 3, spare 4. */
export const POSE_STRIDE = 16
