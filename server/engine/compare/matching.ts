import type { ComparedPath, Stretch } from './compared-path.ts'
import { axisAngle, type Moment, type PathPose, pointDistance } from './path-pose.ts'
import type { StretchPair } from './stretches.ts'

// Which moment of one stretch belongs to which of the other. Both are run through from end to end, at
// speeds of their own but never backward. Corners of one stretch are given the nearest place of
// the other, so that a straight way in two blocks is matched to the same way in one, point by point.

/** A part of an old motion and the part of a new one that belongs to it, run through evenly; one of them may stand still. */
export interface MatchedPart {
  readonly old: { readonly motion: number, readonly from: number, readonly to: number }
  readonly new: { readonly motion: number, readonly from: number, readonly to: number }
}

/** What an angle counts for beside a distance, mm for each radian: it decides only where the tool point stands still or runs the same way. */
const LEVER = 1e-3

/** Corners times motions beyond which no nearest places are looked for. */
const MOST_PROJECTIONS = 6000

/** Nodes times nodes beyond which the parts are matched by their share of the way. */
const MOST_NODE_PAIRS = 1_000_000

/** Moments of a motion that are looked at for the place nearest to a corner, before it is narrowed down. */
const SAMPLES = 8

/** How two stretches belong to each other: a few ways to see it, of which the nearest counts. */
export interface Matching {
  readonly parts: readonly MatchedPart[]
  /** Too long to be matched closely: matched by the share of the way, so that distances are right as bounds and nothing else can be told. */
  readonly isLoose: boolean
}

/** The ways to match two stretches; none where one of the paths has no motion at all. */
export function matchingsOf(before: ComparedPath, oldPose: PathPose, after: ComparedPath, newPose: PathPose, pair: StretchPair): Matching[] {
  const oldEnds = endsOf(before, pair.old), newEnds = endsOf(after, pair.new)
  if (oldEnds === undefined || newEnds === undefined) return []
  const motions = pair.old.end - pair.old.first, isOneToOne = motions === pair.new.end - pair.new.first
  // A motion for each motion: the likeliest edit, figures changed in their blocks.
  const matchings: Matching[] = isOneToOne ? [{ parts: partsOf(oldEnds, newEnds, byShare(oldEnds.length, newEnds.length)), isLoose: false }] : []
  const corners = motions * (pair.new.end - pair.new.first)
  if (isOneToOne && motions === 1 || corners > MOST_PROJECTIONS && isOneToOne) return matchings
  const project = corners <= MOST_PROJECTIONS
  const old = project ? withProjections(oldEnds, pair.old, oldPose, newEnds, newPose) : oldEnds
  const now = project ? withProjections(newEnds, pair.new, newPose, oldEnds, oldPose) : newEnds
  const isLoose = old.length * now.length > MOST_NODE_PAIRS
  const steps = isLoose ? byShare(old.length, now.length) : closestWay(old, oldPose, now, newPose)
  return [...matchings, { parts: partsOf(old, now, steps), isLoose }]
}

/** Parts between neighbouring pairs of nodes. */
function partsOf(old: readonly Moment[], now: readonly Moment[], steps: readonly (readonly [number, number])[]): MatchedPart[] {
  const parts: MatchedPart[] = []
  for (let s = 1; s < steps.length; s++) {
    const [a0, b0] = steps[s - 1] ?? [0, 0], [a1, b1] = steps[s] ?? [0, 0]
    parts.push({ old: partOf(old, a0, a1), new: partOf(now, b0, b1) })
  }
  // Both stretches are one place: there is nothing between nodes, and still two poses to compare.
  if (parts.length === 0) parts.push({ old: partOf(old, 0, 0), new: partOf(now, 0, 0) })
  return parts
}

/** Where each motion of a stretch begins and ends; the place itself for an empty one. */
function endsOf({ toolpath: { count } }: ComparedPath, { first, end }: Stretch): Moment[] | undefined {
  if (end > first) return [{ motion: first, time: 0 }, ...Array.from({ length: end - first }, (_, n) => ({ motion: first + n, time: 1 }))]
  if (count === 0) return undefined
  return [first > 0 ? { motion: first - 1, time: 1 } : { motion: 0, time: 0 }]
}

/** From one node to the next: within one motion, since every end of a motion is a node. */
function partOf(nodes: readonly Moment[], from: number, to: number): MatchedPart['old'] {
  const a = nodes[from] ?? { motion: 0, time: 0 }, b = nodes[to] ?? a
  return { motion: b.motion, from: a.motion === b.motion ? a.time : 0, to: b.time }
}

/** Adds the places of a stretch that lie nearest to the corners of the other. */
function withProjections(own: readonly Moment[], { first, end }: Stretch, ownPose: PathPose, others: readonly Moment[], otherPose: PathPose): Moment[] {
  const added = new Map<number, number[]>()
  for (const { motion, time } of others.slice(1, -1)) {
    otherPose.go(motion, time)
    let best: Moment | undefined, least = Infinity
    for (let i = first; i < end; i++) {
      const near = nearestTime(ownPose, i, otherPose)
      if (near.cost >= least) continue
      least = near.cost
      best = { motion: i, time: near.time }
    }
    if (best !== undefined && best.time > 0 && best.time < 1) added.set(best.motion, [...added.get(best.motion) ?? [], best.time])
  }
  return own.flatMap(node => node.time === 0 ? [node] : [...[...new Set(added.get(node.motion) ?? [])].sort((a, b) => a - b).map(time => ({ motion: node.motion, time })), node])
}

/** The moment of a motion nearest to the other pose: sampled, then narrowed by thirds. Only a choice of nodes hangs on it. */
function nearestTime(pose: PathPose, motion: number, other: PathPose): { readonly time: number, readonly cost: number } {
  const costAt = (time: number) => cost(pose, motion, time, other)
  let best = 0, least = costAt(0)
  for (let n = 1; n <= SAMPLES; n++) {
    const value = costAt(n / SAMPLES)
    if (value < least) [best, least] = [n, value]
  }
  let low = Math.max(0, best - 1) / SAMPLES, high = Math.min(SAMPLES, best + 1) / SAMPLES
  for (let n = 0; n < 40; n++) {
    const third = (high - low) / 3
    if (costAt(low + third) <= costAt(high - third)) high -= third
    else low += third
  }
  const middle = (low + high) / 2, value = costAt(middle)
  return value < least ? { time: middle, cost: value } : { time: best / SAMPLES, cost: least }
}

function cost(pose: PathPose, motion: number, time: number, other: PathPose): number {
  const here = pose.go(motion, time)
  return pointDistance(here, other.pose) + LEVER * axisAngle(here, other.pose)
}

/**
 * The order of node pairs whose worst pair is nearest, and among those with the smallest sum: the
 * discrete Fréchet distance (T. Eiter, H. Mannila, Computing discrete Fréchet distance, 1994).
 */
function closestWay(old: readonly Moment[], oldPose: PathPose, now: readonly Moment[], newPose: PathPose): (readonly [number, number])[] {
  const n = old.length, m = now.length
  const worst = new Float64Array(n * m), sum = new Float64Array(n * m), from = new Uint8Array(n * m)
  for (let a = 0; a < n; a++) {
    const { motion, time } = old[a] ?? { motion: 0, time: 0 }
    oldPose.go(motion, time)
    for (let b = 0; b < m; b++) {
      const other = now[b] ?? { motion: 0, time: 0 }, here = cost(newPose, other.motion, other.time, oldPose), at = a * m + b
      let bestWorst = a === 0 && b === 0 ? 0 : Infinity, bestSum = a === 0 && b === 0 ? 0 : Infinity
      // Both on, old on, new on; the first of equals, so that equal paths are run through together.
      for (const [step, da, db] of ways) {
        if (a < da || b < db) continue
        const before = (a - da) * m + b - db, w = worst[before] ?? 0, s = sum[before] ?? 0
        if (w < bestWorst || w === bestWorst && s < bestSum) {
          bestWorst = w
          bestSum = s
          from[at] = step
        }
      }
      worst[at] = Math.max(bestWorst, here)
      sum[at] = bestSum + here
    }
  }
  const steps: (readonly [number, number])[] = []
  let a = n - 1, b = m - 1
  while (a > 0 || b > 0) {
    steps.push([a, b])
    const [, da, db] = ways[from[a * m + b] ?? 0] ?? [0, 1, 1]
    a -= da
    b -= db
  }
  steps.push([0, 0])
  return steps.reverse()
}

const ways = [[0, 1, 1], [1, 1, 0], [2, 0, 1]] as const

/** Node by node in proportion: for stretches too long to be matched more closely. */
function byShare(n: number, m: number): (readonly [number, number])[] {
  const steps: (readonly [number, number])[] = [[0, 0]], most = Math.max(n, m) - 1
  for (let s = 1; s <= most; s++) {
    const [a, b] = steps.at(-1) ?? [0, 0], a1 = Math.round(s / most * (n - 1)), b1 = Math.round(s / most * (m - 1))
    if (a1 !== a || b1 !== b) steps.push([a1, b1])
  }
  return steps
}
