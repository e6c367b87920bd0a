import type { Point } from '../../shared/finding.ts'

/** Where a straight look meets a mesh. */
export interface RayHit {
  readonly triangle: number
  readonly point: Point
  /** Along the ray, in lengths of its direction. */
  readonly distance: number
}

/**
 * The nearest triangle on a ray; nine numbers a triangle. Every triangle is tried: a million take some
 * milliseconds, which is less than a click can tell. Möller and Trumbore, "Fast, minimum storage
 * ray/triangle intersection", Journal of Graphics Tools 2(1), 1997. `keeps`: what counts of the surface.
 */
export function nearestOnRay(corners: Float32Array, from: Point, along: Point, keeps: (point: Point) => boolean = () => true): RayHit | undefined {
  const [ox, oy, oz] = from, [dx, dy, dz] = along
  let best = Infinity, triangle = -1
  for (let i = 0; i < corners.length; i += 9) {
    const ax = corners[i], ay = corners[i + 1], az = corners[i + 2]
    const e1x = corners[i + 3] - ax, e1y = corners[i + 4] - ay, e1z = corners[i + 5] - az
    const e2x = corners[i + 6] - ax, e2y = corners[i + 7] - ay, e2z = corners[i + 8] - az
    const px = dy * e2z - dz * e2y, py = dz * e2x - dx * e2z, pz = dx * e2y - dy * e2x
    const determinant = e1x * px + e1y * py + e1z * pz
    if (determinant === 0) continue
    const tx = ox - ax, ty = oy - ay, tz = oz - az
    const u = (tx * px + ty * py + tz * pz) / determinant
    if (!(u >= 0 && u <= 1)) continue
    const qx = ty * e1z - tz * e1y, qy = tz * e1x - tx * e1z, qz = tx * e1y - ty * e1x
    const v = (dx * qx + dy * qy + dz * qz) / determinant
    if (!(v >= 0 && u + v <= 1)) continue
    const distance = (e2x * qx + e2y * qy + e2z * qz) / determinant
    if (distance < 0 || distance >= best || !keeps([ox + distance * dx, oy + distance * dy, oz + distance * dz])) continue
    best = distance
    triangle = i / 9
  }
  if (triangle < 0) return undefined
  return { triangle, point: [ox + best * dx, oy + best * dy, oz + best * dz], distance: best }
}
