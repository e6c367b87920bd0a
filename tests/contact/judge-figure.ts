import { components, type Component } from '../../shared/finding.ts'
import { gaugeLength } from '../../shared/tool-length.ts'
import { MotionFlag, type Toolpath } from '../../shared/toolpath.ts'
import { FIGURES_PER_MOTION, type ContactFigures } from '../../server/engine/contact/contact-figures.ts'
import { distanceAt, isOnMesh, smallestDistance } from '../harness/brute-force.ts'
import type { TwinPose } from '../harness/twin-machine.ts'
import { signedDistance, type TwinSolid } from '../harness/twin-solid.ts'
import { epsilon, limits, type RandomCase } from './random-case.ts'

// One certified figure of the engine against the brute-force twin. Whatever the twin finds is
// attained, so a figure of the twin below `certified` is a false negative, however coarsely the twin
// samples; and the engine's own value is worked out again by the twin at the moment and place the
// engine names.

/** mm. Rounding of the twin's and the engine's arithmetic for bodies within a few hundred mm. */
const rounding = 1e-7
/** mm. The place of a figure is kept in float32, its moment too. */
const kept = 2e-4
/** mm. That, and what the twin's golden sections leave of a triangle. */
const onMesh = 1e-3

/** Upper ends of the histogram of widths, micrometres; the last class is open. */
export const widthClasses = [0.1, 0.5, 1, 1000 * epsilon, 10, 100, Infinity] as const

/** What judging many figures adds up to. */
export interface Counts {
  queries: number
  /** Queries with a figure below the search's reach; the others are proven to lie beyond it. */
  found: number
  /** The twin found something below what was certified. */
  falseNegatives: number
  /** The engine calls a limit broken that the twin sees kept by more than epsilon. */
  falsePositives: number
  /** The interval holds the limit: no verdict. */
  open: number
  /** A bound or a figure that contradicts itself: value not attained, place off the mesh, certified above value. */
  violations: number
  /** The search gave up with a wider interval than asked for. */
  wide: number
  /** The twin sampled past what the engine found. */
  notSeen: number
  /** Of found figures, by `widthClasses`. */
  readonly widths: number[]
}

export const countNames = ['queries', 'found', 'falseNegatives', 'falsePositives', 'open', 'violations', 'wide', 'notSeen'] as const satisfies readonly (keyof Counts)[]

export function newCounts(): Counts {
  return { queries: 0, found: 0, falseNegatives: 0, falsePositives: 0, open: 0, violations: 0, wide: 0, notSeen: 0, widths: widthClasses.map(() => 0) }
}

/** Adds the counts of some queries to those of others. */
export function addCounts(to: Counts, more: Counts): void {
  for (const key of countNames) to[key] += more[key]
  more.widths.forEach((count, i) => { to.widths[i] += count })
}

/** A motion as the twin sees it. Poses are kept: the twin looks at many triangles at the same moments. */
export class MotionOfTwin {
  readonly motion: number
  readonly rapid: boolean
  /** The cutter's figure of a rapid that leaves the cut is that of the time after. */
  readonly leavesCut: boolean
  readonly #poses = new Map<number, TwinPose>()
  readonly #poseAt: (t: number) => TwinPose
  #leaving: number | undefined

  constructor({ input: { toolpath }, twin, tool }: RandomCase, motion: number) {
    this.motion = motion
    this.rapid = isRapid(toolpath, motion)
    this.leavesCut = this.rapid && motion > 0 && !isRapid(toolpath, motion - 1)
    const length = gaugeLength(tool)
    this.#poseAt = t => twin.poseAt(toolpath, motion, length, t)
  }

  poseAt(t: number): TwinPose {
    let pose = this.#poses.get(t)
    if (pose === undefined) this.#poses.set(t, pose = this.#poseAt(t))
    return pose
  }

  /** The first moment at which the tool point is twice the rapid clearance away from where the motion started; 1 where it never is. */
  timeOfLeaving(): number {
    return this.#leaving ??= this.#findLeaving()
  }

  #findLeaving(): number {
    const start = this.poseAt(0).point
    for (let t = 0; t < 1; t += 0.002) {
      const { point } = this.poseAt(t)
      if (Math.hypot(point[0] - start[0], point[1] - start[1], point[2] - start[2]) >= 2 * limits.clearance.rapid) return t
    }
    return 1
  }
}

/**
 * Judges the figure of one component against the mesh `corners` (nine numbers a triangle); `row`: place of the motion
 * among the figures. Adds to `counts`, and answers what is wrong, in words.
 */
export function judgeFigure(job: RandomCase, motion: MotionOfTwin, component: Component, corners: Float64Array, figures: ContactFigures, row: number, counts: Counts): string[] {
  const pieces = job.solids[component], at = row * FIGURES_PER_MOTION + components.indexOf(component)
  const value = figures.value[at], certified = figures.certified[at], time = figures.time[at]
  const found = value < Infinity, wanted = limitOf(component, motion.rapid)
  const faults: string[] = []
  // Within a body whose outline turns inward the engine's depth is that in one of the convex pieces it is cut into, and may be
  // less than the body's own: both are then inside, and no more is asked.
  const isHollow = pieces.some(turnsInward), isLeast = isHollow && certified < 0
  const say = (what: string) => faults.push(`motion ${motion.motion}, ${component}: ${what} [${job.name}]`)
  counts.queries++
  if (found) {
    counts.found++
    const [x, y, z] = figures.point.subarray(at * 3, at * 3 + 3)
    const again = distanceAt(pieces, motion.poseAt(time), x, y, z)
    // A body of several pieces is as deep as its deepest one, which is not looked for once it cannot be deeper by the width.
    const least = isHollow ? -Infinity : pieces.length === 1 ? value - kept : certified - rounding
    if (!(again >= least && again <= value + kept)) say(`the value ${value} at t ${time} is ${again}`)
    if (!isOnMesh(corners, x, y, z, onMesh)) say(`the place ${x} ${y} ${z} does not lie on the mesh`)
    if (certified > value + rounding) say(`certified ${certified} above the value ${value}`)
    const width = value - certified
    counts.widths[widthClasses.findIndex(end => width * 1000 <= end + 1e-5)]++
    if (width > epsilon + 1e-8) counts.wide++
  } else if (!(certified >= wanted)) say(`nothing found, yet not certified beyond ${certified}`)
  counts.violations += faults.length
  const leaves = component === 'cutter' && motion.leavesCut, after = leaves ? motion.timeOfLeaving() : 0
  const seenFrom = (from: number, cap: number) => smallestDistance(pieces, corners, t => motion.poseAt(from + (1 - from) * t), cap,
    { moments: 17, refined: 1, also: found ? [time, time - 0.01, time + 0.01] : [] })
  // Nothing above the value (or the certified figure, where nothing was found) can speak against the engine.
  const nearest = seenFrom(after, found ? value + 2 * epsilon : certified + 0.01)
  if (nearest.value < certified - rounding && !isLeast) {
    counts.falseNegatives++
    say(`brute force finds ${nearest.value} at t ${nearest.time}, certified is ${certified}, value ${value}`)
  }
  if (leaves && certified > -limits.gouge && !isLeast) {
    const whole = seenFrom(0, -limits.gouge)
    if (whole.value < -limits.gouge - rounding) {
      counts.falseNegatives++
      say(`leaves the cut ${whole.value} deep at t ${whole.time}, certified is ${certified}`)
    }
  }
  if (found && !leaves && nearest.value > value + epsilon) counts.notSeen++
  if (value < wanted && Math.min(nearest.value, value + epsilon) > wanted + epsilon) counts.falsePositives++
  if (certified < wanted && value >= wanted) counts.open++
  return faults
}

/** Points taken of each edge of an outline. */
const pointsOfEdge = 8

const inward = new WeakMap<TwinSolid, boolean>()

/** Whether some point halfway between two of the outline's lies outside the body. */
function turnsInward(solid: TwinSolid): boolean {
  let known = inward.get(solid)
  if (known === undefined) {
    const points = solid.edge.flatMap(edge => Array.from({ length: pointsOfEdge + 1 }, (_, i): [number, number] => {
      const share = i / pointsOfEdge
      if (edge.kind === 'line') return [edge.r0 + share * (edge.r1 - edge.r0), edge.h0 + share * (edge.h1 - edge.h0)]
      const angle = edge.from + share * (edge.to - edge.from)
      return [edge.r + edge.radius * Math.cos(angle), edge.h + edge.radius * Math.sin(angle)]
    }))
    known = points.some(([r, h], i) => points.slice(0, i).some(([q, g]) => signedDistance(solid, (r + q) / 2, (h + g) / 2) > 1e-6))
    inward.set(solid, known)
  }
  return known
}

function isRapid(toolpath: Toolpath, motion: number): boolean {
  return (toolpath.flags[motion] & MotionFlag.rapid) !== 0
}

/** The distance at which a component breaks its limit. */
function limitOf(component: Component, rapid: boolean): number {
  if (component === 'cutter') return rapid ? limits.clearance.rapid : limits.stockToLeave - limits.gouge
  return rapid ? Math.max(limits.clearance[component], limits.clearance.rapid) : limits.clearance[component]
}
