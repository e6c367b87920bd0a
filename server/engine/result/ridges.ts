import { someNear } from './samples-near.ts'
import type { SurfaceSamples } from './surface-samples.ts'

/** Cosine between the ways to both sides: they count as opposite from 120° on. */
const opposite = -0.5

/** Cosine between two ways that are as good as one: 18°. */
const sameWay = 0.95

/** A ridge has to be one at this share of its surface: at its ends it runs out. */
export const ridgeShare = 0.8

/** Largest step of passes that belong together, in radii of the cutter: what stands between wider ones is no roughness. */
const widestStep = 1

/**
 * Whether a sample stands on a ridge between two passes: on opposite sides of it, nearer than the step
 * that would leave a ridge of its height, the surface is within its limit. A ball of radius R that leaves a
 * height h has stepped s = 2 √(2 R h − h²); for any other cutter its largest radius stands for R, which
 * takes a wider step for a ridge, never a narrower one. `isLow`: whether a sample is within its limit.
 */
export function isOnRidge(samples: SurfaceSamples, sample: number, height: number, radius: number, isLow: (sample: number) => boolean): boolean {
  const width = 2 * Math.sqrt(Math.max(0, 2 * radius * height - height * height))
  if (height > radius || width > widestStep * radius) return false
  const step = Math.max(width, 2 * samples.spacing)
  const { points } = samples
  const x = points[sample * 3], y = points[sample * 3 + 1], z = points[sample * 3 + 2]
  const ways: number[] = []
  return someNear(samples, sample, step, other => {
    if (!isLow(other)) return false
    const dx = points[other * 3] - x, dy = points[other * 3 + 1] - y, dz = points[other * 3 + 2] - z
    const length = Math.sqrt(dx * dx + dy * dy + dz * dz)
    if (length === 0 || length > step) return false
    for (let i = 0; i < ways.length; i += 3) {
      const cosine = (dx * ways[i] + dy * ways[i + 1] + dz * ways[i + 2]) / length
      if (cosine < opposite) return true
      if (cosine > sameWay) return false
    }
    ways.push(dx / length, dy / length, dz / length)
    return false
  })
}
