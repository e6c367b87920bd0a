import type { Cancellation } from '../../../shared/cancellation.ts'
import { components, type Component } from '../../../shared/finding.ts'
import { RotarySolver } from '../../../shared/inverse-kinematics.ts'
import type { Machine } from '../../../shared/machine.ts'
import type { Limits, MendStep } from '../../../shared/setup.ts'
import { MotionFlag } from '../../../shared/toolpath.ts'
import { ComponentDistance } from '../contact/component-distance.ts'
import { FIGURES_PER_MOTION, type ContactFigures } from '../contact/contact-figures.ts'
import type { MotionFault } from '../contact/motion-faults.ts'
import type { ObstacleName } from '../contact/near-figure.ts'
import type { SceneMeshes } from '../contact/scene-searcher.ts'
import type { SearchInput } from '../contact/search-motions.ts'
import { correctStretch, leanable } from '../correction/correct-stretch.ts'
import type { Freedom } from '../correction/demand.ts'
import { Stretch } from '../correction/stretch.ts'
import type { BlockRuns } from './block-runs.ts'
import { reachBeside, type FaultySpan } from './faulty-spans.ts'
import type { ProgramFrames } from './program-frames.ts'
import type { WantedMotion } from './write-blocks.ts'

/** What a mend works on. */
export interface MendWork {
  readonly search: SearchInput
  readonly meshes: SceneMeshes
  readonly machine: Machine
  /** Figures of the program as it stands. */
  readonly figures: ContactFigures
  readonly runs: BlockRuns
  readonly frames: ProgramFrames
  readonly cancellation: Cancellation
}

/** One correction as it was made. */
export interface StepMade {
  readonly step: MendStep
  /** Largest shift of a tool point in mm, or turn of the axis in radians. */
  readonly most: number
}

/** The smallest distance of a component over a span, before and after; proven between `certified` and `value`, mm. */
export interface FigureChange {
  readonly component: Component
  readonly against: ObstacleName | undefined
  readonly keep: number
  readonly before: { readonly value: number, readonly certified: number }
  /** Undefined: farther than the search looks. */
  readonly after: { readonly value: number, readonly certified: number } | undefined
}

/** What came of a list of corrections. */
export interface Attempt {
  readonly steps: readonly StepMade[]
  readonly wanted: ReadonlyMap<number, WantedMotion>
  /** What still breaks a limit. */
  readonly remaining: readonly MotionFault[]
  readonly figures: readonly FigureChange[]
  /** mm that stay standing at most where nothing was too deep before. */
  readonly standing: number
}

export type AttemptAnswer = Attempt | { readonly why: string, readonly step: MendStep }

const freedoms: Readonly<Partial<Record<MendStep['by'], Freedom>>> = { 'back-off': 'axis-line', lift: 'point', lean: 'turn' }

/** mm and radians; beyond these a fault is no slip but another job. */
const mostWay = 10
const mostTurn = 45 * Math.PI / 180

/** A share of the allowed turn of a block that a lean may always add, and how much of what is left it takes. */
const leastTurnShare = 0.2
const turnShare = 0.9

/** Makes the corrections one after the other on a span of the program, and searches the outcome. */
export function trySteps(span: FaultySpan, steps: readonly MendStep[], work: MendWork): AttemptAnswer {
  const { search, meshes, runs, cancellation } = work
  const first = Math.max(0, span.first - reachBeside), end = Math.min(search.toolpath.count, span.last + 1 + reachBeside)
  const stretch = new Stretch(search, meshes, first, end - first, runs.fixed, runs.canPart, cancellation)
  const offset = first - Math.max(0, first - 1)
  const made: StepMade[] = [], handled = new Set<Component>()
  let limits = (given: Limits) => given
  let seeds = [...new Set(span.faults.map(fault => fault.motion - first + offset))]
  for (const step of steps) {
    const freedom = freedoms[step.by]
    if (freedom === undefined) return { why: `${step.by} is no correction of a path's ends`, step }
    const wanted = step.components ?? (step.by === 'lean' ? leanable : step.allow !== undefined && step.clearance === undefined ? ['cutter' as const] : components)
    limits = limitsOf(limits, step, wanted)
    stretch.limitTo(limits)
    const known = beforeTable(work, handled)
    const answer = correctStretch(stretch, {
      freedom, components: wanted, motions: seeds, distanceOf: distancesOf(search), before: known,
      solver: solverOf(work), ranges: work.machine.axes.map(axis => axis.range), letters: work.frames.letters,
      round: roundBy(work), turnRoom: turnRoomOf(search), mostShift: freedom === 'turn' ? mostTurn : mostWay, cancellation,
    })
    if (!answer.done) return { why: answer.why, step }
    made.push({ step, most: Math.max(0, ...stretch.stations.map(({ shift }) => Math.hypot(...shift))) })
    for (const component of wanted) handled.add(component)
    // What was parted or moved is looked at by the next correction as well.
    seeds = Array.from({ length: stretch.count - 1 }, (_, k) => k + 1).filter(k => isChanged(stretch, k) || span.faults.some(fault => fault.motion === stretch.originOf(k)))
    stretch.settle()
  }
  stretch.limitTo(given => given)
  return outcome(stretch, span, made, work)
}

/** The limits under which a correction works: its own allowances over those of the corrections before it. */
function limitsOf(before: (limits: Limits) => Limits, { allow, clearance }: MendStep, wanted: readonly Component[]): (limits: Limits) => Limits {
  return given => {
    const limits = before(given)
    const own = clearance === undefined ? {} : Object.fromEntries(wanted.filter(each => each !== 'cutter').map(each => [each, clearance]))
    return { ...limits, ...allow === undefined ? {} : { gouge: allow }, clearance: { ...limits.clearance, ...own } }
  }
}

const distances = new WeakMap<SearchInput, Map<number, ComponentDistance | undefined>>()

function distancesOf(search: SearchInput): (tool: number) => ComponentDistance | undefined {
  const known = distances.get(search) ?? new Map<number, ComponentDistance | undefined>()
  distances.set(search, known)
  return tool => {
    if (!known.has(tool)) {
      const assembly = search.assemblies[tool]
      known.set(tool, assembly === undefined ? undefined : new ComponentDistance(assembly))
    }
    return known.get(tool)
  }
}

function solverOf({ search, machine }: MendWork): RotarySolver {
  return new RotarySolver(search.kinematics, machine.axes.map(axis => axis.range))
}

/** Smallest distance of each component in the motions of the program; what a correction before has handled must keep its limit. */
function beforeTable({ figures }: MendWork, handled: ReadonlySet<Component>): (motion: number, component: Component, against: ObstacleName | undefined) => number {
  const near = new Map(figures.near.map(each => [`${each.motion} ${each.who} ${each.against.kind} ${each.against.index}`, each.value]))
  const kept = new Set(handled)
  return (motion, component, against) => {
    if (kept.has(component)) return Infinity
    if (against !== undefined) return near.get(`${motion} ${component} ${against.kind} ${against.index}`) ?? Infinity
    return figures.value[(motion - figures.firstMotion) * FIGURES_PER_MOTION + components.indexOf(component)] ?? Infinity
  }
}

function roundBy({ runs, frames }: MendWork): (stretch: Stretch, station: number) => string | undefined {
  return (stretch, at) => {
    const { motion, time } = stretch.stations[at] ?? { motion: -1, time: 1 }
    const run = runs.of(motion)
    return run === undefined ? 'its block is not known' : frames.round(stretch.jointsOf(stretch.path, at), stretch.jointsOf(stretch.base, at), run, time < 1)
  }
}

/** How much the lean may change within one motion: what the sheet's axis step leaves of it. Rapids may turn as they like. */
function turnRoomOf({ limits, toolpath }: SearchInput): (stretch: Stretch, k: number) => number {
  return (stretch, k) => {
    if (((stretch.path.flags[k] ?? 0) & MotionFlag.rapid) !== 0) return Infinity
    const set = limits.sets[limits.ofMotion[Math.min(stretch.originOf(k), toolpath.count - 1)] ?? 0]
    const step = set?.limits.axisStep ?? Infinity
    stretch.basePose.begin(k)
    return Math.max(leastTurnShare * step, turnShare * step - stretch.basePose.turn)
  }
}

function isChanged(stretch: Stretch, k: number): boolean {
  return [k, k + 1].some(at => stretch.stations[at]?.shift.some(value => value !== 0))
}

/** Searches the whole stretch as it has become, and says what each motion is to be. */
function outcome(stretch: Stretch, span: FaultySpan, steps: readonly StepMade[], work: MendWork): Attempt {
  const figures = stretch.search(1, stretch.count - 1)
  const remaining = stretch.faults(figures).map(fault => ({ ...fault, motion: stretch.originOf(fault.motion) }))
  const wanted = wantedMotions(stretch, work)
  return { steps, wanted, remaining, figures: figureChanges(stretch, span, figures), standing: standingOf(stretch, wanted, figures, work) }
}

function wantedMotions(stretch: Stretch, { search }: MendWork): Map<number, WantedMotion> {
  const { toolpath } = search, wanted = new Map<number, WantedMotion>()
  let parts: { time: number, joints: Float64Array }[] = []
  const isMoved = (at: number) => {
    const station = stretch.stations[at]
    if (station === undefined) return false
    const row = toolpath.joints.subarray((station.motion + 1) * stretch.width, (station.motion + 2) * stretch.width)
    return station.time < 1 || !stretch.jointsOf(stretch.path, at).every((value, j) => Math.abs(value - (row[j] ?? Number.NaN)) < 1e-9)
  }
  let startMoved = false, partsMoved = false
  for (let at = 1; at <= stretch.count; at++) {
    const station = stretch.stations[at]
    if (station === undefined) continue
    const joints = Float64Array.from(stretch.jointsOf(stretch.path, at))
    if (station.time < 1) {
      parts.push({ time: station.time, joints })
      continue
    }
    const endMoved = isMoved(at)
    partsMoved = parts.length > 0
    if (endMoved || partsMoved || startMoved) wanted.set(station.motion, { parts, end: endMoved ? joints : undefined })
    parts = []
    startMoved = endMoved
  }
  return wanted
}

function figureChanges(stretch: Stretch, span: FaultySpan, figures: ContactFigures): FigureChange[] {
  const changes: FigureChange[] = []
  for (const component of components) {
    const own = span.faults.filter(fault => fault.component === component)
    const parties = new Map(own.map(fault => [fault.against === undefined ? 'part' : `${fault.against.kind} ${fault.against.index}`, fault.against]))
    for (const against of parties.values()) {
      const faults = own.filter(fault => fault.against?.kind === against?.kind && fault.against?.index === against?.index)
      const motions = new Set(faults.map(fault => fault.motion))
      const worst = faults.reduce((a, b) => b.value < a.value ? b : a)
      changes.push({
        component, against, keep: worst.keep, before: { value: worst.value, certified: Math.min(...faults.map(fault => fault.certified)) },
        after: against === undefined ? worstOf(stretch, figures, component, motions) : undefined,
      })
    }
  }
  return changes
}

function worstOf(stretch: Stretch, figures: ContactFigures, component: Component, motions: ReadonlySet<number>): FigureChange['after'] {
  let value = Infinity, certified = Infinity
  for (let i = 0; i < figures.count; i++) {
    if (!motions.has(stretch.originOf(figures.firstMotion + i))) continue
    const at = i * FIGURES_PER_MOTION + components.indexOf(component)
    value = Math.min(value, figures.value[at] ?? Infinity)
    certified = Math.min(certified, figures.certified[at] ?? Infinity)
  }
  return value === Infinity ? undefined : { value, certified }
}

/** How far the cutter now stays off the part in changed motions in which it cut before, mm. */
function standingOf(stretch: Stretch, wanted: ReadonlyMap<number, WantedMotion>, figures: ContactFigures, { figures: old }: MendWork): number {
  let most = 0
  for (let i = 0; i < figures.count; i++) {
    const motion = stretch.originOf(figures.firstMotion + i)
    const before = old.value[(motion - old.firstMotion) * FIGURES_PER_MOTION] ?? Infinity, after = figures.value[i * FIGURES_PER_MOTION] ?? Infinity
    if (wanted.has(motion) && before <= 0 && after > Math.max(0, before)) most = Math.max(most, Math.min(after, 0.5))
  }
  return most
}
