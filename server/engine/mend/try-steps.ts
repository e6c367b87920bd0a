import type { Cancellation } from '../../../shared/cancellation.ts'
import { components, type Component } from '../../../shared/finding.ts'
import { RotarySolver } from '../../../shared/inverse-kinematics.ts'
import type { Machine } from '../../../shared/machine.ts'
import type { Limits, MendStep, Triple } from '../../../shared/setup.ts'
import { MotionFlag } from '../../../shared/toolpath.ts'
import { ComponentDistance } from '../contact/component-distance.ts'
import { FIGURES_PER_MOTION, type ContactFigures } from '../contact/contact-figures.ts'
import type { KnownFigures } from '../contact/known-figures.ts'
import type { MotionFault } from '../contact/motion-faults.ts'
import type { ObstacleName } from '../contact/near-figure.ts'
import type { SceneMeshes } from '../contact/scene-searcher.ts'
import type { SearchInput } from '../contact/search-motions.ts'
import { aimAxis } from '../correction/aim-axis.ts'
import { correctStretch, leanable } from '../correction/correct-stretch.ts'
import { endPath } from '../correction/end-path.ts'
import type { Freedom } from '../correction/demand.ts'
import { Stretch } from '../correction/stretch.ts'
import type { BlockRuns } from './block-runs.ts'
import { ownPlace, reachBeside, type FaultySpan } from './faulty-spans.ts'
import type { ProgramFrames } from './program-frames.ts'
import type { WantedMotion } from './write-blocks.ts'

/** What a mend works on. */
export interface MendWork {
  readonly search: SearchInput
  readonly meshes: SceneMeshes
  readonly machine: Machine
  /** What the corrections have searched. */
  readonly known: KnownFigures
  /** Figures of the program as it stands. */
  readonly figures: ContactFigures
  /** Whether a motion of the program as it stands breaks a limit with this component against this. */
  readonly wasFaulty: (motion: number, component: Component, against: ObstacleName | undefined) => boolean
  /** The point that the axis of a motion must pass, by the sheet. */
  readonly aimOf: (motion: number) => AimPoint | undefined
  /** Names of the sheet's barriers. */
  readonly barriers: readonly string[]
  readonly runs: BlockRuns
  readonly frames: ProgramFrames
  readonly cancellation: Cancellation
}

/** Part frame, mm. */
export interface AimPoint { readonly point: Triple, readonly within: number }

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
  /** Places of a plan that a correction could not be made for, and why. */
  readonly stays: readonly string[]
}

export type AttemptAnswer = Attempt | { readonly why: string, readonly step: MendStep }

const freedoms: Readonly<Partial<Record<MendStep['by'], Freedom>>> = { 'back-off': 'axis-line', lift: 'point', lean: 'turn' }

/** mm and radians; beyond these a fault is no slip but another job. */
const mostWay = 10
const mostTurn = 45 * Math.PI / 180

/** A share of the allowed turn of a block that a lean may always add, and how much of what is left it takes. */
const leastTurnShare = 0.2
const turnShare = 0.9

/**
 * Makes the corrections one after the other on a span of the program, and searches the outcome. A plan is made wherever its own allowances
 * ask for it, place by place, and a place that cannot be corrected keeps what it has; without one the span is corrected as a whole or not at all.
 */
export function trySteps(span: FaultySpan, steps: readonly MendStep[], work: MendWork): AttemptAnswer {
  const { search, meshes, runs, cancellation } = work, isPlan = span.isPlanned === true
  const first = Math.max(0, span.first - reachBeside), end = Math.min(search.toolpath.count, span.last + 1 + reachBeside)
  const stretch = new Stretch(search, meshes, first, end - first, runs.fixed, runs.canPart, cancellation, work.known, work.figures)
  const made: StepMade[] = [], stays: string[] = []
  let limits = (given: Limits) => given
  // Where the path ends at its barriers, nothing else is done about them.
  const ends = steps.some(({ by }) => by === 'end-at'), ignores = (fault: MotionFault) => ends && fault.against?.kind === 'barrier'
  // Beside the place in hand what was at fault before is another place's matter, or stays because somebody has accepted it.
  const isOwn = (fault: MotionFault) => {
    const motion = stretch.originOf(fault.motion)
    return isPlan || motion >= span.first && motion <= span.last || !work.wasFaulty(motion, fault.component, fault.against)
  }
  for (const step of steps) {
    const wanted = step.components ?? usualComponents(step)
    limits = limitsOf(limits, step, wanted)
    stretch.limitTo(limits)
    const isMine = (fault: MotionFault) => isIn(span, stretch.originOf(fault.motion)) && wanted.includes(fault.component)
    let most = 0
    if (step.by === 'end-at') {
      const answer = endPath(stretch, { isCrossing: fault => isMine(fault) && crosses(fault, step, work), round: roundBy(work), cancellation })
      const [why] = answer.stays
      if (why !== undefined && !isPlan) return { why, step }
      stays.push(...new Set(answer.stays.map(each => `end-at: ${each}`)))
      most = answer.leftOut
    } else if (step.by === 'aim') {
      const target = (k: number) => isIn(span, stretch.originOf(k)) && ((stretch.path.flags[k] ?? 0) & MotionFlag.rapid) === 0 ? aimFor(step, stretch.originOf(k), work) : undefined
      const answer = aimAxis(stretch, { target, solver: solverOf(work), round: roundBy(work) })
      const [why] = answer.stays
      if (why !== undefined && !isPlan) return { why, step }
      stays.push(...answer.stays.map(each => `aim: ${each}`))
      most = answer.most
      stretch.settle()
    } else {
      const freedom = freedoms[step.by]
      // Feeds and stick-outs are no matter of the path's ends.
      if (freedom === undefined) continue
      const figures = stretch.search(1, stretch.count - 1), before = standingBefore(stretch, figures)
      const faults = stretch.faults(figures).filter(fault => isMine(fault) && !ignores(fault))
      const groups = isPlan ? placesApart(faults.map(fault => fault.motion)) : [[...new Set(faults.map(fault => fault.motion))]]
      // From the last place on: parting a motion leaves the numbers of those before it.
      for (const motions of groups.reverse()) {
        const answer = correctStretch(stretch, {
          freedom, components: wanted, ignores, isOwn, motions, distanceOf: distancesOf(search), before,
          solver: solverOf(work), ranges: work.machine.axes.map(axis => axis.range), letters: work.frames.letters,
          round: roundBy(work), turnRoom: turnRoomOf(search), mostShift: freedom === 'turn' ? mostTurn : mostWay, cancellation,
        })
        if (!answer.done && !isPlan) return { why: answer.why, step }
        if (!answer.done) stays.push(`${step.by} in ${nameOf(stretch.originOf(motions[0] ?? 0), work)}: ${answer.why}`)
        most = Math.max(most, freedom === 'turn' ? stretch.farthestTurn() : stretch.farthestShift())
        stretch.settle()
      }
    }
    if (cancellation.cancelled()) return { why: 'it was called off', step }
    if (most > 0 || !isPlan) made.push({ step, most })
  }
  stretch.limitTo(given => given)
  return { ...outcome(stretch, span, made, work, isOwn), stays }
}

/** A lean is made for what is above the cutter; a correction that names a depth alone, for the cutter. */
function usualComponents({ by, allow, clearance }: MendStep): readonly Component[] {
  if (by === 'lean') return leanable
  return by === 'end-at' || allow !== undefined && clearance === undefined ? ['cutter'] : components
}

/** mm. How near the axis is to pass a point that a plan names and the sheet does not. */
const usualWithin = 0.05

function aimFor({ point }: MendStep, motion: number, { aimOf }: MendWork): AimPoint | undefined {
  const known = aimOf(motion)
  return point === undefined ? known : { point, within: known?.within ?? usualWithin }
}

function isIn({ first, last, isPlanned }: FaultySpan, motion: number): boolean {
  return isPlanned !== true || motion >= first && motion <= last
}

function crosses({ against }: MotionFault, { barrier }: MendStep, { barriers }: MendWork): boolean {
  return against?.kind === 'barrier' && (barrier === undefined || barriers[against.index] === barrier)
}

/** Motions in rising order, those of a place together. */
function placesApart(motions: readonly number[]): number[][] {
  const groups: number[][] = []
  for (const motion of [...new Set(motions)].sort((a, b) => a - b)) {
    const open = groups.at(-1)
    if (open !== undefined && motion - (open.at(-1) ?? 0) <= ownPlace) open.push(motion)
    else groups.push([motion])
  }
  return groups
}

function nameOf(motion: number, { runs }: MendWork): string {
  const run = runs.of(motion)
  return run === undefined ? 'a block' : run.sequence >= 0 ? `N${run.sequence}` : `line ${run.line + 1}`
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

/** Distance that is proven for each component in the motions of the program as a correction finds them: what is no matter of its own keeps that. */
function standingBefore(stretch: Stretch, figures: ContactFigures): (motion: number, component: Component, against: ObstacleName | undefined) => number {
  const known = new Map<string, number>()
  const note = (key: string, value: number) => known.set(key, Math.min(value, known.get(key) ?? Infinity))
  for (let i = 0; i < figures.count; i++) {
    const motion = stretch.originOf(figures.firstMotion + i)
    for (const [c, component] of components.entries()) note(`${motion} ${component}`, figures.certified[i * FIGURES_PER_MOTION + c] ?? Infinity)
  }
  for (const { motion, who, against, certified } of figures.near) note(`${stretch.originOf(motion)} ${who} ${against.kind} ${against.index}`, certified)
  return (motion, component, against) => known.get(against === undefined ? `${motion} ${component}` : `${motion} ${component} ${against.kind} ${against.index}`) ?? Infinity
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

/** Searches the whole stretch as it has become, and says what each motion is to be. */
function outcome(stretch: Stretch, span: FaultySpan, steps: readonly StepMade[], work: MendWork, isOwn: (fault: MotionFault) => boolean): Omit<Attempt, 'stays'> {
  const figures = stretch.search(1, stretch.count - 1)
  const remaining = stretch.faults(figures).filter(isOwn).map(fault => ({ ...fault, motion: stretch.originOf(fault.motion) }))
  const wanted = wantedMotions(stretch, work)
  return { steps, wanted, remaining, figures: span.isPlanned === true ? plannedChanges(stretch, wanted, figures, work) : figureChanges(stretch, span, figures), standing: standingOf(stretch, wanted, figures, work) }
}

function wantedMotions(stretch: Stretch, { search }: MendWork): Map<number, WantedMotion> {
  const { toolpath } = search, wanted = new Map<number, WantedMotion>()
  let parts: { time: number, joints: Float64Array }[] = [], startMoved = false
  for (let at = 1; at <= stretch.count; at++) {
    const { motion, time } = stretch.stations[at] ?? { motion: -1, time: 1 }, next = stretch.stations[at + 1]
    const joints = Float64Array.from(stretch.jointsOf(stretch.path, at))
    if (time < 1 && next?.motion === motion) {
      parts.push({ time, joints })
      continue
    }
    // A motion that ends before its own end has been ended there; those up to where the path goes on are left out.
    const isMoved = time < 1 || !isRow(joints, toolpath, motion)
    if (isMoved || parts.length > 0 || startMoved) wanted.set(motion, { parts, end: isMoved ? joints : undefined })
    for (let gone = motion + 1; next !== undefined && gone < next.motion; gone++) wanted.set(gone, { parts: [], end: undefined, dropped: true })
    parts = []
    startMoved = isMoved
  }
  return wanted
}

function isRow(joints: Float64Array, { joints: rows }: SearchInput['toolpath'], motion: number): boolean {
  return joints.every((value, j) => Math.abs(value - (rows[(motion + 1) * joints.length + j] ?? Number.NaN)) < 1e-9)
}

/** The worst figures of the motions that a plan has changed. */
function plannedChanges(stretch: Stretch, wanted: ReadonlyMap<number, WantedMotion>, figures: ContactFigures, { figures: old, search }: MendWork): FigureChange[] {
  const motions = new Set(wanted.keys())
  return components.flatMap((component, c): FigureChange[] => {
    let value = Infinity, certified = Infinity
    for (const motion of motions) {
      const at = (motion - old.firstMotion) * FIGURES_PER_MOTION + c
      value = Math.min(value, old.value[at] ?? Infinity)
      certified = Math.min(certified, old.certified[at] ?? Infinity)
    }
    if (value === Infinity) return []
    const [first] = motions, limits = search.limits.sets[search.limits.ofMotion[first ?? 0] ?? 0]?.limits
    const keep = limits === undefined ? 0 : component === 'cutter' ? limits.stockToLeave - limits.gouge : limits.clearance[component]
    return [{ component, against: undefined, keep, before: { value, certified }, after: worstOf(stretch, figures, component, motions) }]
  })
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

/** mm. A cutter this near to the part cuts there. */
const atWork = 0.01

/** mm. What is known of a cutter that is nowhere near any more. */
const outOfReach = 0.5

/** How far the cutter now stays off the part in changed motions in which it cut before, mm; `outOfReach` stands for that and more. */
function standingOf(stretch: Stretch, wanted: ReadonlyMap<number, WantedMotion>, figures: ContactFigures, { figures: old }: MendWork): number {
  // Of a motion that has been parted, the part that is nearest to the part counts.
  const after = new Map<number, number>()
  for (let i = 0; i < figures.count; i++) {
    const motion = stretch.originOf(figures.firstMotion + i)
    if (((stretch.path.flags[figures.firstMotion + i] ?? 0) & MotionFlag.rapid) !== 0 || !wanted.has(motion)) continue
    after.set(motion, Math.min(after.get(motion) ?? outOfReach, figures.value[i * FIGURES_PER_MOTION] ?? outOfReach))
  }
  let most = 0
  for (const [motion, value] of after) {
    const before = old.value[(motion - old.firstMotion) * FIGURES_PER_MOTION] ?? Infinity
    if (before <= atWork && value > before) most = Math.max(most, value)
  }
  return most
}
