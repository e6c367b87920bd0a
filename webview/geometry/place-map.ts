import { components } from '../../shared/finding.ts'
import type { Component } from '../../shared/finding.ts'
import type { ScaleName, ScaleRange } from '../../shared/colour-scale.ts'
import type { ContactArrays, MotionTable } from './motion-table.ts'
import { FIGURES } from './motion-table.ts'

/** Places on the part's mesh, each with a figure that the engine has proven there. */
export interface PlaceMap extends ScaleRange {
  /** x y z of each, part frame, mm. */
  readonly positions: Float32Array
  /** The proven interval of each figure, mm. */
  readonly values: Float32Array
  readonly certified: Float32Array
  /** The motion each figure belongs to. */
  readonly motions: Uint32Array
  readonly scale: ScaleName
  /** The limits that hold for most of it, mm. */
  readonly limits: readonly number[]
  /** What has no place, in a sentence; empty where that is what the search did not look so far for. */
  readonly besides?: string
}

/** What the colours tell: where a component comes nearest, or what is left on the part. */
export type MapSubject = Component | 'left'

/**
 * Where each motion's component comes nearest to the part. What the search only knows to be farther away has no
 * place and is left out. The nearest come last, so that they are drawn over the others.
 */
export function nearestPlaces(table: MotionTable, { value, certified, limits }: ContactArrays, points: Float32Array, component: Component): PlaceMap {
  const c = components.indexOf(component)
  const found: number[] = []
  for (let motion = 0; motion < table.count; motion++) {
    if (Number.isFinite(value[motion * FIGURES + c])) found.push(motion)
  }
  const valueOf = (motion: number) => value[motion * FIGURES + c]
  found.sort((a, b) => valueOf(b) - valueOf(a))
  const positions = new Float32Array(found.length * 3)
  for (const [i, motion] of found.entries()) positions.set(points.subarray((motion * FIGURES + c) * 3, (motion * FIGURES + c) * 3 + 3), i * 3)
  const limit = limitOfFeed(table, limits, c)
  const least = found.length === 0 ? 0 : valueOf(found[found.length - 1])
  // What counts lies about the limit: what is far from it has the colour of the far end.
  const low = Math.min(least, limit ?? 0), high = Math.max(0.05, 5 * Math.abs(limit ?? 0))
  return {
    positions, limits: limit === undefined ? [] : [limit],
    values: Float32Array.from(found, valueOf),
    certified: Float32Array.from(found, motion => certified[motion * FIGURES + c]),
    motions: Uint32Array.from(found),
    scale: 'nearness', low, middle: (low + high) / 2, high,
  }
}

/** The limit of most feed motions; those that have another one are told at each place. */
function limitOfFeed(table: MotionTable, limits: ContactArrays['limits'], component: number): number | undefined {
  const motions = new Map<number, number>()
  for (let motion = 0, set = 0; motion < table.count && limits.length > 0; motion++) {
    while (set + 1 < limits.length && limits[set + 1].motion <= motion) set++
    const limit = limits[set].feed[component]
    if (!table.isRapid(motion)) motions.set(limit, (motions.get(limit) ?? 0) + 1)
  }
  return [...motions].sort((a, b) => b[1] - a[1])[0]?.[0]
}

/** The place nearest to the viewer of those within reach of a point of the screen. `project` gives x, y and depth, CSS pixels. */
export function placeAt(positions: Float32Array, project: (x: number, y: number, z: number) => readonly [number, number, number], x: number, y: number, reach: number): number | undefined {
  let best: number | undefined, depth = Infinity
  for (let i = 0; i * 3 < positions.length; i++) {
    const at = project(positions[i * 3], positions[i * 3 + 1], positions[i * 3 + 2])
    if (Math.hypot(at[0] - x, at[1] - y) > reach || at[2] > depth) continue
    best = i
    depth = at[2]
  }
  return best
}
