// Which thing on the screen a click means. Pixels and CSS pixels; no drawing here.

/**
 * The id nearest to the middle of a square picture of ids (RGBA bytes, red lowest), or 0: nothing
 * there. Equally near ones: the first from below, left to right.
 */
export function nearestId(pixels: Uint8Array, size: number): number {
  const middle = (size - 1) / 2
  let best = Infinity
  let id = 0
  for (let y = 0; y < size; y++) {
    for (let x = 0; x < size; x++) {
      const at = (y * size + x) * 4
      const here = pixels[at] + pixels[at + 1] * 256 + pixels[at + 2] * 65536 + pixels[at + 3] * 16777216
      if (here === 0) continue
      const distance = (x - middle) ** 2 + (y - middle) ** 2
      if (distance < best) {
        best = distance
        id = here
      }
    }
  }
  return id
}

/** The mark nearest to (x, y), no farther than `reach`; `places` holds x y of each, NaN where it is not on the screen. */
export function nearestPlace(places: ArrayLike<number>, x: number, y: number, reach: number): number | undefined {
  let best = reach * reach
  let found: number | undefined
  for (let i = 0; i * 2 < places.length; i++) {
    const distance = (places[i * 2] - x) ** 2 + (places[i * 2 + 1] - y) ** 2
    if (distance <= best) {
      best = distance
      found = i
    }
  }
  return found
}
