// Where a moving body of revolution leaves the surface of what it sweeps: the points whose normal is
// square to their velocity. On the circle of radius r at height h about the tool axis, with the normal
// (nr, nh), the condition is A cos φ + B sin φ + C = 0, so each circle has two such points or none.
// Known as the grazing points of a generalised cutter: Chung, Park, Shin and Choi, "Modeling the
// surface swept by a generalized cutter for NC verification", Computer-Aided Design 30(8), 1998.

/** A circle of the outline with one of its normals: radius, height, and the normal's two parts. Four numbers each. */
export const RING_STRIDE = 4

/** Where the outline turns by more than this, the edge gets normals of its own in between. Radians. */
const SHARP_ABOVE = Math.PI / 7
const NORMALS_ON_EDGE = 16

/** The circles of an outline of (radius, height) points, from the tip upward. */
export function ringsOf(outline: readonly (readonly [number, number])[]): Float64Array {
  const first = outline[0]
  // A tip that is flat has its face from the axis outward.
  const points = first !== undefined && first[0] > 0 ? [[0, first[1]] as const, ...outline] : [...outline]
  const normals: (readonly [number, number])[] = []
  const corners: (readonly [number, number])[] = []
  for (const point of points) {
    const last = corners.at(-1)
    if (last === undefined) corners.push(point)
    else {
      const r = point[0] - last[0], h = point[1] - last[1], length = Math.hypot(r, h)
      if (length < 1e-9) continue
      normals.push([h / length, -r / length])
      corners.push(point)
    }
  }
  const rings: number[] = []
  const add = ([radius, height]: readonly [number, number], radial: number, axial: number) => {
    const length = Math.hypot(radial, axial)
    rings.push(radius, height, radial / length, axial / length)
  }
  for (let i = 0; i < corners.length; i++) {
    const below = normals[i - 1] ?? normals[i], above = normals[i] ?? normals[i - 1]
    if (below === undefined || above === undefined) break
    const turn = Math.acos(Math.min(1, Math.max(-1, below[0] * above[0] + below[1] * above[1])))
    const steps = turn > SHARP_ABOVE ? NORMALS_ON_EDGE : 0
    if (steps === 0) add(corners[i], below[0] + above[0], below[1] + above[1])
    for (let step = 0; step <= steps && steps > 0; step++) {
      const share = step / steps
      add(corners[i], below[0] * (1 - share) + above[0] * share, below[1] * (1 - share) + above[1] * share)
    }
  }
  return Float64Array.from(rings)
}

/** A tool at a moment: tool point, unit axis, velocity of the point, turning of the axis (square to it). Twelve numbers. */
export const STATE_STRIDE = 12

/**
 * Writes both grazing points of each ring, left ones then right ones of the way (looking along it, the axis upward), into
 * `out` at vertex `at`, and into `open` whether the ring has them: where it has none, both stand on
 * the same point, at which the curve closes.
 */
export function grazingPoints(rings: Float64Array, state: ArrayLike<number>, out: Float32Array, open: Uint8Array, at: number): void {
  const count = rings.length / RING_STRIDE
  const ax = state[3], ay = state[4], az = state[5]
  // Two directions square to the axis, by the coordinate it leans on least.
  const tilted = Math.abs(az) < 0.9
  const ux = tilted ? 0 : 1, uz = tilted ? 1 : 0
  const along = ux * ax + uz * az
  let e1x = ux - along * ax, e1y = -along * ay, e1z = uz - along * az
  const size = Math.hypot(e1x, e1y, e1z)
  e1x /= size
  e1y /= size
  e1z /= size
  const e2x = ay * e1z - az * e1y, e2y = az * e1x - ax * e1z, e2z = ax * e1y - ay * e1x
  const vx = state[6] * e1x + state[7] * e1y + state[8] * e1z, vy = state[6] * e2x + state[7] * e2y + state[8] * e2z
  const vz = state[6] * ax + state[7] * ay + state[8] * az
  const wx = state[9] * e1x + state[10] * e1y + state[11] * e1z, wy = state[9] * e2x + state[10] * e2y + state[11] * e2z
  const tiny = 1e-9 * (Math.hypot(vx, vy, vz) + 1e-12)
  let middle = Math.atan2(vy, vx), half = Math.PI / 2
  const put = (vertex: number, radius: number, height: number, angle: number) => {
    const c = radius * Math.cos(angle), s = radius * Math.sin(angle)
    out[vertex * 3] = state[0] + height * ax + c * e1x + s * e2x
    out[vertex * 3 + 1] = state[1] + height * ay + c * e1y + s * e2y
    out[vertex * 3 + 2] = state[2] + height * az + c * e1z + s * e2z
  }
  // From the top down: at the tip, where any direction will do, the one of the circle above is kept.
  for (let k = count - 1; k >= 0; k--) {
    const r = rings[k * RING_STRIDE], h = rings[k * RING_STRIDE + 1], nr = rings[k * RING_STRIDE + 2], nh = rings[k * RING_STRIDE + 3]
    const a = nr * (vx + wy * h) - nh * wy * r, b = nr * (vy - wx * h) + nh * wx * r, c = nh * vz
    const reach = Math.hypot(a, b)
    let isOpen = 1
    if (reach > tiny) {
      middle = Math.atan2(b, a)
      const cosine = -c / reach
      if (Math.abs(cosine) > 1) isOpen = 0
      half = Math.acos(Math.min(1, Math.max(-1, cosine)))
    } else if (Math.abs(c) > tiny) {
      half = c > 0 ? Math.PI : 0
      isOpen = 0
    }
    open[at + k] = open[at + count + k] = isOpen
    put(at + k, r, h, middle + half)
    put(at + count + k, r, h, middle - half)
  }
}
