/** A placing in space: three rows of four numbers, the last of each what is added. */
export type Affine = readonly number[]

export const identity: Affine = [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0]

/** First `inner`, then `outer`. */
export function composed(outer: Affine, inner: Affine): Affine {
  const out: number[] = []
  for (let row = 0; row < 12; row += 4) {
    for (let column = 0; column < 4; column++) {
      const sum = outer[row] * inner[column] + outer[row + 1] * inner[column + 4] + outer[row + 2] * inner[column + 8]
      out.push(column === 3 ? sum + outer[row + 3] : sum)
    }
  }
  return out
}

/** Whether it turns a body into its mirror image, so that its facets face inward. */
export function isMirrored(m: Affine): boolean {
  return m[0] * (m[5] * m[10] - m[6] * m[9]) - m[1] * (m[4] * m[10] - m[6] * m[8]) + m[2] * (m[4] * m[9] - m[5] * m[8]) < 0
}

/** Three numbers a point. */
export function placedPoints(points: Float64Array, m: Affine): Float64Array {
  const out = new Float64Array(points.length)
  for (let i = 0; i + 2 < points.length; i += 3) {
    const x = points[i], y = points[i + 1], z = points[i + 2]
    for (let k = 0; k < 3; k++) out[i + k] = m[4 * k] * x + m[4 * k + 1] * y + m[4 * k + 2] * z + m[4 * k + 3]
  }
  return out
}
