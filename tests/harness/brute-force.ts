import { signedDistance, type TwinSolid } from './twin-solid.ts'
import type { TwinPose } from './twin-machine.ts'

// The smallest signed distance of a solid to a mesh over a motion, the slow and obvious way: dense
// moments, every triangle, golden sections. What it finds is always attained, so it never lies below
// the true minimum; how far above depends on the sampling. Shares no code with the engine.

export interface Nearest {
  /** Infinity when nothing below the cap was seen. */
  readonly value: number
  readonly time: number
  readonly triangle: number
}

export interface Sampling {
  /** Moments looked at all over the motion. */
  readonly moments: number
  /** How many of the best of these are refined between their neighbours. */
  readonly refined: number
  /** Further moments worth a look, for example where somebody else found something. */
  readonly also?: readonly number[]
}

const golden = (Math.sqrt(5) - 1) / 2

/** Signed distance of the solids' union as a set of pieces: the least of the pieces'. */
export function distanceAt(solids: readonly TwinSolid[], pose: TwinPose, x: number, y: number, z: number): number {
  return Math.min(...solids.map(solid => distanceTo(solid, pose, x, y, z)))
}

function distanceTo(solid: TwinSolid, { point, axis }: TwinPose, x: number, y: number, z: number): number {
  const ux = x - point[0], uy = y - point[1], uz = z - point[2]
  const h = ux * axis[0] + uy * axis[1] + uz * axis[2]
  return signedDistance(solid, Math.sqrt(Math.max(0, ux * ux + uy * uy + uz * uz - h * h)), h)
}

/** Smallest distance below `cap`. `poseAt` must be continuous on [0, 1]. */
export function smallestDistance(solids: readonly TwinSolid[], corners: ArrayLike<number>, poseAt: (t: number) => TwinPose, cap: number, sampling: Sampling): Nearest {
  const mesh = outlines(corners)
  let best: Nearest = { value: Infinity, time: 0, triangle: -1 }
  /** At one moment: below `limit`, the least over all triangles. */
  const at = (t: number, limit: number): number => {
    const pose = poseAt(t)
    let least = limit
    for (const solid of solids) {
      // The distance changes no faster than the place does; the nearest triangles first.
      const bounds: { readonly i: number, readonly bound: number }[] = []
      for (let i = 0; i < mesh.count; i++) {
        const c = i * 4, bound = distanceTo(solid, pose, mesh.centres[c], mesh.centres[c + 1], mesh.centres[c + 2]) - mesh.centres[c + 3]
        if (bound < least) bounds.push({ i, bound })
      }
      bounds.sort((a, b) => a.bound - b.bound)
      for (const { i, bound } of bounds) {
        if (bound >= least) break
        const value = leastOnTriangle((x, y, z) => distanceTo(solid, pose, x, y, z), corners, i * 9)
        if (value >= least) continue
        least = value
        if (value < best.value) best = { value, time: t, triangle: i }
      }
    }
    return least
  }
  const samples = Array.from({ length: sampling.moments }, (_, i) => i / (sampling.moments - 1))
  for (const time of sampling.also ?? []) samples.push(Math.min(1, Math.max(0, time)))
  samples.sort((a, b) => a - b)
  const seen = samples.map((time, i) => ({ i, value: at(time, cap) })).filter(({ value }) => value < cap)
  seen.sort((a, b) => a.value - b.value)
  for (const { i } of seen.slice(0, sampling.refined)) {
    section(samples[Math.max(0, i - 1)], samples[Math.min(samples.length - 1, i + 1)], 1e-4, t => at(t, cap))
  }
  return best
}

/** Whether a triangle of the mesh comes within `reach` of the place. */
export function isOnMesh(corners: ArrayLike<number>, x: number, y: number, z: number, reach: number): boolean {
  const { count, centres } = outlines(corners)
  for (let i = 0; i < count; i++) {
    const c = i * 4
    if (Math.hypot(centres[c] - x, centres[c + 1] - y, centres[c + 2] - z) > centres[c + 3] + reach) continue
    if (leastOnTriangle((px, py, pz) => Math.hypot(px - x, py - y, pz - z), corners, i * 9) <= reach) return true
  }
  return false
}

/** Least value of a convex function on a triangle: a golden section of golden sections. Nine numbers from `o`. */
export function leastOnTriangle(f: (x: number, y: number, z: number) => number, c: ArrayLike<number>, o: number): number {
  const [ax, ay, az] = [c[o], c[o + 1], c[o + 2]]
  const [ux, uy, uz] = [c[o + 3] - ax, c[o + 4] - ay, c[o + 5] - az]
  const [wx, wy, wz] = [c[o + 6] - ax, c[o + 7] - ay, c[o + 8] - az]
  const across = Math.hypot(ux, uy, uz), along = Math.hypot(wx, wy, wz)
  // The least over one direction is convex in the other.
  return section(0, 1, tolerance(across), p =>
    section(0, 1 - p, tolerance(along), q => f(ax + p * ux + q * wx, ay + p * uy + q * wy, az + p * uz + q * wz)))
}

/** Share of an edge at which half a micrometre is reached. */
function tolerance(length: number): number {
  return 5e-4 / Math.max(length, 1e-3)
}

/** Least value of a function that first falls and then rises, as seen by a golden section, ends included. */
function section(from: number, to: number, fine: number, f: (x: number) => number): number {
  let low = from, high = to
  let a = high - golden * (high - low), b = low + golden * (high - low)
  let fa = f(a), fb = f(b)
  let least = Math.min(f(from), f(to), fa, fb)
  while (high - low > fine) {
    if (fa < fb) {
      high = b
      b = a
      fb = fa
      a = high - golden * (high - low)
      fa = f(a)
      least = Math.min(least, fa)
    } else {
      low = a
      a = b
      fa = fb
      b = low + golden * (high - low)
      fb = f(b)
      least = Math.min(least, fb)
    }
  }
  return least
}

/** Middle and radius of every triangle. */
function outlines(corners: ArrayLike<number>): { readonly count: number, readonly centres: Float64Array } {
  const count = corners.length / 9, centres = new Float64Array(count * 4)
  for (let i = 0; i < count; i++) {
    for (let k = 0; k < 3; k++) centres[i * 4 + k] = (corners[i * 9 + k] + corners[i * 9 + 3 + k] + corners[i * 9 + 6 + k]) / 3
    for (let n = 0; n < 9; n += 3) {
      const d = Math.hypot(corners[i * 9 + n] - centres[i * 4], corners[i * 9 + n + 1] - centres[i * 4 + 1], corners[i * 9 + n + 2] - centres[i * 4 + 2])
      centres[i * 4 + 3] = Math.max(centres[i * 4 + 3], d)
    }
  }
  return { count, centres }
}
