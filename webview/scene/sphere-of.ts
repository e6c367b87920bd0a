import type { Box } from '../geometry/path-geometry.ts'
import { Sphere, Vector3 } from '../three.ts'

/** The sphere about a box, in its frame. */
export function sphereOf(box: Box): Sphere {
  const min = new Vector3(...box.min), max = new Vector3(...box.max)
  return new Sphere(min.clone().add(max).multiplyScalar(0.5), min.distanceTo(max) / 2)
}
