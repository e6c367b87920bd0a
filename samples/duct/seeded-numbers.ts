/**
 * Evenly spread numbers in [0, 1) from a 32-bit seed, by integer arithmetic alone, so that every
 * machine makes the same casting. A Weyl sequence through a mixing function (Steele, Lea and
 * Flood, "Fast splittable pseudorandom number generators", 2014, in its 32-bit form).
 */
export function seededNumbers(seed: number): () => number {
  let state = seed | 0
  return () => {
    state = (state + 0x9e3779b9) | 0
    let mixed = state
    mixed = Math.imul(mixed ^ (mixed >>> 16), 0x85ebca6b)
    mixed = Math.imul(mixed ^ (mixed >>> 13), 0xc2b2ae35)
    return ((mixed ^ (mixed >>> 16)) >>> 0) / 4294967296
  }
}
