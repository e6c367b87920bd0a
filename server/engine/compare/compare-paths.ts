import type { ComparedPath, Stretch } from './compared-path.ts'
import { deviationOf, type Deviation, type PathDeviation } from './deviation.ts'
import { matchingsOf, type Matching } from './matching.ts'
import { SAME_JOINT } from './motion-keys.ts'
import { otherChanges, type OtherChanges } from './other-words.ts'
import { StateChanges, type StateChange } from './state-changes.ts'
import { PathPose } from './path-pose.ts'
import { stretchPairs, type LineNames, type StretchPair } from './stretches.ts'

/** Lines of a program, 1-based, both ends included. */
export interface Lines {
  readonly first: number
  readonly last: number
}

/** How far apart, at most, and where. */
export interface PlacedDeviation {
  /** As attained, and what is proven not to be exceeded: mm or radians. */
  readonly value: number
  readonly atMost: number
  readonly oldLine: number
  readonly newLine: number
  /** The new tool point there; part frame, mm. */
  readonly point: readonly [number, number, number]
}

/** Neighbouring blocks whose motion is another than before. */
export interface PathChange {
  /** Absent where the other program has no motion in its place. */
  readonly oldLines?: Lines
  readonly newLines?: Lines
  /** How many motions, from which one on in either program. */
  readonly oldMotions: number
  readonly newMotions: number
  readonly oldFirst: number
  readonly newFirst: number
  /** Too many neighbouring blocks differ to be matched one by one: what is in force in them was not compared, and distances are bounds. */
  readonly isLoose: boolean
  /** Absent where a pose is not known on one side, so that only the words could be compared. */
  readonly tool?: { readonly point: PlacedDeviation, readonly axis: PlacedDeviation }
  /** The rotary axis that stands farthest from where it stood; radians. */
  readonly rotary?: { readonly letter: string, readonly angle: number }
}

export interface PathComparison {
  readonly changes: readonly PathChange[]
  /** Stretches that run the same way in other blocks: a line written as two, an arc by its radius. */
  readonly rewritten: number
  /** Motions of the new program that are those of the old one. */
  readonly sameMotions: number
  /** Motions whose place is not known in either program. */
  readonly unknownMotions: number
  readonly states: readonly StateChange[]
  readonly words: OtherChanges
}

/** What differs between two programs in motion, in what is in force while they move, and in words that neither shows. */
export function comparePaths(before: ComparedPath, after: ComparedPath, names: { readonly old: LineNames, readonly new: LineNames }): PathComparison {
  const states = new StateChanges(before, after), oldPose = new PathPose(before), newPose = new PathPose(after)
  const changes: PathChange[] = [], pairs: (readonly [number, number])[] = []
  let run: Changed[] = [], rewritten = 0, sameMotions = 0, unknownMotions = 0
  const endRun = () => {
    if (run.length > 0) changes.push(changeOf(before, after, run))
    run = []
  }
  for (const pair of stretchPairs(before, after, names)) {
    if (pair.old.end > pair.old.first && pair.new.end > pair.new.first) pairs.push([pair.old.end - 1, pair.new.end - 1])
    if (pair.isSame) {
      endRun()
      sameMotions++
      states.see({ old: { motion: pair.old.first, from: 0, to: 1 }, new: { motion: pair.new.first, from: 0, to: 1 } }, true)
      if (Number.isNaN(lastJoint(after, pair.new.first))) unknownMotions++
      continue
    }
    const { matching, deviation } = nearest(before, oldPose, after, newPose, pair)
    if (deviation !== undefined && runsTheSameWay(deviation)) {
      endRun()
      rewritten++
    } else run.push({ pair, deviation, isLoose: matching?.isLoose ?? false })
    if (matching?.isLoose === false) for (const part of matching.parts) states.see(part, false)
  }
  endRun()
  const inForce = states.list(), told = new Set(inForce.map(({ kind }) => kind))
  return { changes, rewritten, sameMotions, unknownMotions, states: inForce, words: otherChanges(before, after, pairs, told, { old: names.old.words, new: names.new.words }) }
}

interface Changed {
  readonly pair: StretchPair
  readonly deviation: PathDeviation | undefined
  readonly isLoose: boolean
}

/** Motion for motion, unless another way to match the stretches brings them clearly nearer to each other. */
function nearest(before: ComparedPath, old: PathPose, after: ComparedPath, now: PathPose, pair: StretchPair): { readonly matching?: Matching, readonly deviation?: PathDeviation } {
  const [first, second] = matchingsOf(before, old, after, now, pair).map(matching => ({ matching, deviation: deviationOf(old, now, after.kinematics.rotary, matching.parts) }))
  if (first === undefined || second === undefined) return first ?? {}
  return second.deviation.point.value < CLEARLY_NEARER * first.deviation.point.value ? second : first
}

/** In proportion. */
const CLEARLY_NEARER = 0.8

function runsTheSameWay({ point, axis, rotary }: PathDeviation): boolean {
  return point.value <= SAME_JOINT && axis.value <= SAME_JOINT && rotary.angle <= SAME_JOINT
}

function changeOf(before: ComparedPath, after: ComparedPath, run: readonly Changed[]): PathChange {
  const first = run[0]?.pair, last = run.at(-1)?.pair
  const old = { first: first?.old.first ?? 0, end: last?.old.end ?? 0 }, now = { first: first?.new.first ?? 0, end: last?.new.end ?? 0 }
  const deviations = run.flatMap(({ deviation }) => deviation ?? [])
  const isKnown = deviations.length === run.length && deviations.every(({ point, axis }) => !Number.isNaN(point.value) && !Number.isNaN(axis.value))
  const oldLines = linesOf(before, old), newLines = linesOf(after, now)
  const rotary = deviations.map(each => each.rotary).reduce((a, b) => b.angle > a.angle ? b : a, { joint: -1, angle: 0 })
  return {
    ...oldLines === undefined ? {} : { oldLines },
    ...newLines === undefined ? {} : { newLines },
    oldMotions: old.end - old.first,
    newMotions: now.end - now.first,
    oldFirst: old.first,
    newFirst: now.first,
    isLoose: run.some(each => each.isLoose),
    ...isKnown ? {
      tool: {
        point: placed(before, after, largest(deviations.map(({ point }) => point))),
        axis: placed(before, after, largest(deviations.map(({ axis }) => axis))),
      },
    } : {},
    ...rotary.angle > SAME_JOINT ? { rotary: { letter: after.toolpath.axes[rotary.joint] ?? '', angle: rotary.angle } } : {},
  }
}

function largest(deviations: readonly Deviation[]): Deviation {
  const none: Deviation = { value: 0, atMost: 0, oldMotion: -1, newMotion: -1, point: [0, 0, 0] }
  const worst = deviations.reduce((a, b) => a.oldMotion < 0 || b.value > a.value ? b : a, none)
  return { ...worst, atMost: deviations.reduce((most, { atMost }) => Math.max(most, atMost), 0) }
}

function placed(before: ComparedPath, after: ComparedPath, { value, atMost, oldMotion, newMotion, point }: Deviation): PlacedDeviation {
  return { value, atMost, oldLine: (before.toolpath.line[oldMotion] ?? 0) + 1, newLine: (after.toolpath.line[newMotion] ?? 0) + 1, point }
}

function linesOf({ toolpath }: ComparedPath, { first, end }: Stretch): Lines | undefined {
  if (end <= first) return undefined
  let low = Infinity, high = 0
  for (let i = first; i < end; i++) {
    const line = (toolpath.line[i] ?? 0) + 1
    low = Math.min(low, line)
    high = Math.max(high, line)
  }
  return { first: low, last: high }
}

/** NaN where any joint of the motion's end is not known. */
function lastJoint({ toolpath: { joints, axes } }: ComparedPath, motion: number): number {
  let sum = 0
  for (let j = 0; j < axes.length; j++) sum += joints[(motion + 1) * axes.length + j] ?? Number.NaN
  return sum
}
