/** Halvings of one facet at most: a safeguard that a spacing above 1e-6 of the facet's size never meets. */
const deepest = 40

/** One triangle of a facet's division: its three corners, nine numbers in all. */
export type TakePart = (ax: number, ay: number, az: number, bx: number, by: number, bz: number, cx: number, cy: number, cz: number) => void

/**
 * Divides a triangle until no side is longer than `spacing`, mm, by halving its longest side again
 * and again: slivers come out as few parts, and neighbours of one shape are divided alike. A facet
 * whose sides all keep the spacing is not divided: nothing is taken, and the answer is false.
 */
export function splitFacet(corners: Float64Array, at: number, spacing: number, take: TakePart): boolean {
  const square = spacing * spacing
  const split: (depth: number, ...corners: Parameters<TakePart>) => void = (depth, ax, ay, az, bx, by, bz, cx, cy, cz) => {
    const ab = squareLength(bx - ax, by - ay, bz - az), bc = squareLength(cx - bx, cy - by, cz - bz), ca = squareLength(ax - cx, ay - cy, az - cz)
    const longest = Math.max(ab, bc, ca)
    if (longest <= square || depth >= deepest) return take(ax, ay, az, bx, by, bz, cx, cy, cz)
    if (ab === longest) {
      const mx = (ax + bx) / 2, my = (ay + by) / 2, mz = (az + bz) / 2
      split(depth + 1, ax, ay, az, mx, my, mz, cx, cy, cz)
      split(depth + 1, mx, my, mz, bx, by, bz, cx, cy, cz)
    } else if (bc === longest) {
      const mx = (bx + cx) / 2, my = (by + cy) / 2, mz = (bz + cz) / 2
      split(depth + 1, ax, ay, az, bx, by, bz, mx, my, mz)
      split(depth + 1, ax, ay, az, mx, my, mz, cx, cy, cz)
    } else {
      const mx = (cx + ax) / 2, my = (cy + ay) / 2, mz = (cz + az) / 2
      split(depth + 1, ax, ay, az, bx, by, bz, mx, my, mz)
      split(depth + 1, mx, my, mz, bx, by, bz, cx, cy, cz)
    }
  }
  const [ax, ay, az, bx, by, bz, cx, cy, cz] = corners.subarray(at, at + 9)
  if (longestSide(corners, at) <= spacing) return false
  split(0, ax, ay, az, bx, by, bz, cx, cy, cz)
  return true
}

/** mm. */
export function longestSide(corners: Float64Array, at: number): number {
  const side = (i: number, j: number) => squareLength(corners[j] - corners[i], corners[j + 1] - corners[i + 1], corners[j + 2] - corners[i + 2])
  return Math.sqrt(Math.max(side(at, at + 3), side(at + 3, at + 6), side(at + 6, at)))
}

function squareLength(x: number, y: number, z: number): number {
  return x * x + y * y + z * z
}
