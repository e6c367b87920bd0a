import { components, type Component } from '../../../shared/finding.ts'
import type { Limits } from '../../../shared/setup.ts'
import { MotionFlag, type Toolpath } from '../../../shared/toolpath.ts'
import { FIGURES_PER_MOTION, type ContactFigures } from './contact-figures.ts'
import type { LimitTable } from './effective-limits.ts'

/** Motions without the fault that may lie between two of one run: a facet's edge can interrupt a touch. */
const neighbours = 8

/** mm. A touch that ceased and comes again farther away than this is another one. */
const farthestJump = 3

/** mm. Places of the mesh nearer than this are one place. */
const samePlace = 0.5

/** What is wrong with one component in one motion. */
export interface Verdict {
  readonly rule: string
  /** The distance the component must keep, mm; negative: a depth that is allowed. */
  readonly wanted: number
  /** Name of the limit in the sheet; undefined for plain contact. */
  readonly limit?: string
  /** The proven interval holds the limit: it cannot be decided. */
  readonly open: boolean
}

/** Motions that touch the same place with the same component: one cause. */
export interface ContactRun {
  readonly component: Component
  readonly rule: string
  readonly open: boolean
  readonly tool: number
  worst: number
  worstVerdict: Verdict
  /** Smallest distance attained in the run, and proven not to be undercut in it, mm. */
  value: number
  certified: number
  first: number
  last: number
  /** Lines touched, each once. */
  blocks: number
  /** Worst motions of the runs that were found to be at the same place. */
  readonly elsewhere: number[]
  /** The point touched last. */
  readonly latest: number[]
  /** Cubes of side `samePlace` that hold a touched point. */
  readonly cubes: Set<string>
}

/** The verdict on one figure, [certified, value] being the proven interval; undefined where all is well. */
export function judge(component: Component, rapid: boolean, limits: Limits, certified: number, value: number): Verdict | undefined {
  const clearance = component === 'cutter' ? 0 : limits.clearance[component]
  const touch = component === 'cutter' ? 'gouge' : `${component}-contact`
  if (rapid) {
    // The cutter may leave at rapid from where it has just cut as deep as it may.
    const deepest = component === 'cutter' ? -limits.gouge : 0
    if (certified < deepest) return { rule: 'rapid-into-part', wanted: deepest, open: value >= deepest }
    const name = component !== 'cutter' && clearance >= limits.clearance.rapid ? component : 'rapid'
    const wanted = Math.max(clearance, limits.clearance.rapid)
    const rule = name === 'rapid' ? 'rapid-clearance' : `${component}-clearance`
    return certified < wanted ? { rule, wanted, limit: `clearance.${name}`, open: value >= wanted } : undefined
  }
  if (component === 'cutter') {
    const wanted = limits.stockToLeave - limits.gouge
    return certified < wanted ? { rule: touch, wanted, limit: limits.stockToLeave > limits.gouge ? 'stockToLeave' : 'gouge', open: value >= wanted } : undefined
  }
  if (value < 0 || certified < 0) return { rule: touch, wanted: 0, open: value >= 0 }
  return certified < clearance ? { rule: `${component}-clearance`, wanted: clearance, limit: `clearance.${component}`, open: value >= clearance } : undefined
}

/**
 * Gathers the figures that break a limit into runs of neighbouring motions at one place, in the order
 * of their first motions. `lengthOf`: how far the tool point goes in a motion, mm; a touch goes along
 * with it, so that is how far apart the worst points of neighbours at one place may lie.
 */
export function contactRuns(toolpath: Toolpath, limits: LimitTable, figures: ContactFigures, lengthOf: (motion: number) => number): ContactRun[] {
  const runs: ContactRun[] = []
  const open = new Map<string, ContactRun>()
  for (let i = 0; i < figures.count; i++) {
    const motion = figures.firstMotion + i
    const inForce = limits.sets[limits.ofMotion[motion]].limits
    const rapid = (toolpath.flags[motion] & MotionFlag.rapid) !== 0
    for (let c = 0; c < components.length; c++) {
      const at = i * FIGURES_PER_MOTION + c
      const value = figures.value[at], certified = figures.certified[at]
      if (value === Infinity) continue
      const verdict = judge(components[c], rapid, inForce, certified, value)
      if (verdict === undefined || (rapid && c === 0 && leavesGouge(i, toolpath, figures))) continue
      const tool = toolpath.tool[motion]
      const key = `${verdict.rule} ${verdict.open} ${components[c]} ${tool}`
      const point = figures.point.subarray(at * 3, at * 3 + 3)
      const current = open.get(key)
      if (current !== undefined && motion - current.last <= neighbours && isNear(current.latest, point, wayBetween(current.last, motion, lengthOf))) {
        extend(current, motion, verdict, point, toolpath, value, certified)
        continue
      }
      const run: ContactRun = {
        component: components[c], rule: verdict.rule, open: verdict.open, tool,
        worst: motion, worstVerdict: verdict, value, certified, first: motion, last: motion, blocks: 1, elsewhere: [], latest: [...point], cubes: new Set([cubeOf(point)]),
      }
      open.set(key, run)
      runs.push(run)
    }
  }
  return joinSamePlace(runs)
}

function extend(run: ContactRun, motion: number, verdict: Verdict, point: Float32Array, toolpath: Toolpath, value: number, certified: number): void {
  if (toolpath.line[motion] !== toolpath.line[run.last]) run.blocks++
  run.last = motion
  // The end of one block is the start of the next: what may be the same moment stays with the block that leads there.
  if (isWorse(value, certified, run.value)) {
    run.worst = motion
    run.worstVerdict = verdict
  }
  run.value = Math.min(run.value, value)
  run.certified = Math.min(run.certified, certified)
  for (let k = 0; k < 3; k++) run.latest[k] = point[k]
  run.cubes.add(cubeOf(point))
}

/**
 * Whether a rapid only leaves the place where the feed move before it has cut too deep: it goes no
 * deeper than that, and the cause has been told there.
 */
function leavesGouge(i: number, toolpath: Toolpath, figures: ContactFigures): boolean {
  const motion = figures.firstMotion + i
  if (i === 0 || toolpath.tool[motion - 1] !== toolpath.tool[motion] || (toolpath.flags[motion - 1] & MotionFlag.rapid) !== 0) return false
  const at = i * FIGURES_PER_MOTION, before = at - FIGURES_PER_MOTION
  return figures.value[at] >= figures.certified[before]
}

/** Whether a figure is smaller than another beyond what the search may have left of both. */
function isWorse(value: number, certified: number, than: number): boolean {
  return value < than - (value - certified)
}

function isNear(a: ArrayLike<number>, b: ArrayLike<number>, way: number): boolean {
  return Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]) <= samePlace + way
}

/**
 * How far apart the worst points of two motions at one place may lie, beyond `samePlace`: as far as
 * the tool point goes in both; across motions without the fault no farther than `farthestJump`.
 */
function wayBetween(first: number, last: number, lengthOf: (motion: number) => number): number {
  let way = 0
  for (let motion = first; motion <= last; motion++) way += lengthOf(motion)
  return last === first + 1 ? way : Math.min(way, farthestJump)
}

/** Name of the cube that holds a point. */
function cubeOf(point: ArrayLike<number>): string {
  return `${Math.floor(point[0] / samePlace)},${Math.floor(point[1] / samePlace)},${Math.floor(point[2] / samePlace)}`
}

/**
 * A path that comes by the same place pass after pass has one cause there: runs of one rule,
 * component and tool that touch the same cube or cubes side by side become one, which keeps the
 * others' worst motions.
 */
function joinSamePlace(runs: ContactRun[]): ContactRun[] {
  const parent = runs.map((_, i) => i)
  const root = (i: number): number => {
    while (parent[i] !== i) i = parent[i] = parent[parent[i]]
    return i
  }
  const owners = new Map<string, number>()
  runs.forEach((run, i) => {
    const kind = `${run.rule} ${run.open} ${run.component} ${run.tool} `
    for (const cube of run.cubes) {
      const [x, y, z] = cube.split(',').map(Number)
      for (let dx = -1; dx <= 1; dx++) for (let dy = -1; dy <= 1; dy++) for (let dz = -1; dz <= 1; dz++) {
        const owner = owners.get(`${kind}${x + dx},${y + dy},${z + dz}`)
        if (owner !== undefined) parent[root(i)] = root(owner)
      }
      owners.set(kind + cube, i)
    }
  })
  const joined = new Map<number, ContactRun>()
  for (let i = 0; i < runs.length; i++) {
    const into = joined.get(root(i))
    if (into === undefined) joined.set(root(i), runs[i])
    else merge(into, runs[i])
  }
  return [...joined.values()]
}

function merge(into: ContactRun, run: ContactRun): void {
  if (isWorse(run.value, run.certified, into.value)) {
    into.elsewhere.push(into.worst)
    into.worst = run.worst
    into.worstVerdict = run.worstVerdict
  } else into.elsewhere.push(run.worst)
  into.value = Math.min(into.value, run.value)
  into.certified = Math.min(into.certified, run.certified)
  into.last = Math.max(into.last, run.last)
  into.first = Math.min(into.first, run.first)
  into.blocks += run.blocks
}
