import { components, type Component } from '../../../shared/finding.ts'
import type { Limits } from '../../../shared/setup.ts'
import { blockOfMotion, MotionFlag, type Toolpath } from '../../../shared/toolpath.ts'
import { FIGURES_PER_MOTION, type ContactFigures } from './contact-figures.ts'
import type { LimitTable } from './effective-limits.ts'

/** Motions without the fault that may lie between two of one run: a facet's edge can interrupt a touch. */
const neighbours = 8

/** mm. Places of the mesh nearer than this are one place. */
const samePlace = 0.5

interface SeenBlocks {
  readonly blocks: Set<string>
  low: number
  high: number
}

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
  /** Where blocks run several times: those touched, and the first and last line of them. */
  readonly seen: SeenBlocks | undefined
  /** Worst motions of the runs that were found to be at the same place. */
  readonly elsewhere: number[]
  /** Extent of the touched points of the mesh, min then max. */
  readonly box: number[]
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
      if (verdict === undefined) continue
      const tool = toolpath.tool[motion]
      const key = `${verdict.rule} ${verdict.open} ${components[c]} ${tool}`
      const point = figures.point.subarray(at * 3, at * 3 + 3)
      const current = open.get(key)
      if (current !== undefined && motion - current.last <= neighbours && isNear(current.box, point, wayBetween(current.last, motion, lengthOf))) {
        extend(current, motion, verdict, point, toolpath, value, certified)
        continue
      }
      const run: ContactRun = {
        component: components[c], rule: verdict.rule, open: verdict.open, tool,
        worst: motion, worstVerdict: verdict, value, certified, first: motion, last: motion, blocks: 1, seen: seenAt(toolpath, motion), elsewhere: [], box: [...point, ...point],
      }
      open.set(key, run)
      runs.push(run)
    }
  }
  return joinSamePlace(toolpath, runs)
}

function seenAt(toolpath: Toolpath, motion: number): SeenBlocks | undefined {
  const line = toolpath.line[motion]
  return toolpath.pass === undefined ? undefined : { blocks: new Set([blockOfMotion(toolpath, motion)]), low: line, high: line }
}

function seeToo(seen: SeenBlocks, more: SeenBlocks | undefined): void {
  for (const block of more?.blocks ?? []) seen.blocks.add(block)
  seen.low = Math.min(seen.low, more?.low ?? Infinity)
  seen.high = Math.max(seen.high, more?.high ?? 0)
}

function extend(run: ContactRun, motion: number, verdict: Verdict, point: Float32Array, toolpath: Toolpath, value: number, certified: number): void {
  if (run.seen !== undefined) {
    seeToo(run.seen, seenAt(toolpath, motion))
    run.blocks = run.seen.blocks.size
  } else if (toolpath.line[motion] !== toolpath.line[run.last]) run.blocks++
  run.last = motion
  // The end of one block is the start of the next: what may be the same moment stays with the block that leads there.
  if (isWorse(value, certified, run.value)) {
    run.worst = motion
    run.worstVerdict = verdict
  }
  run.value = Math.min(run.value, value)
  run.certified = Math.min(run.certified, certified)
  for (let k = 0; k < 3; k++) {
    run.box[k] = Math.min(run.box[k], point[k])
    run.box[3 + k] = Math.max(run.box[3 + k], point[k])
  }
}

/** Whether a figure is smaller than another beyond what the search may have left of both. */
function isWorse(value: number, certified: number, than: number): boolean {
  return value < than - (value - certified)
}

function isNear(box: readonly number[], point: ArrayLike<number>, way: number): boolean {
  const apart = samePlace + way
  for (let k = 0; k < 3; k++) if (point[k] < box[k] - apart || point[k] > box[3 + k] + apart) return false
  return true
}

/** How far the tool point goes from the start of one motion to the end of a later one. */
function wayBetween(first: number, last: number, lengthOf: (motion: number) => number): number {
  let way = 0
  for (let motion = first; motion <= last; motion++) way += lengthOf(motion)
  return way
}

/**
 * A path that comes by the same place pass after pass has one cause there: runs of one rule,
 * component and tool whose places overlap become one, which keeps the others' worst motions. So do
 * those whose worst motions are runs of one block, wherever they touch.
 * Sorted along x, so that only runs near each other are compared.
 */
function joinSamePlace(toolpath: Toolpath, runs: ContactRun[]): ContactRun[] {
  const order = runs.map((_, i) => i).sort((a, b) => runs[a].box[0] - runs[b].box[0] || a - b)
  const parent = runs.map((_, i) => i)
  const root = (i: number): number => {
    while (parent[i] !== i) i = parent[i] = parent[parent[i]]
    return i
  }
  const widest = runs.reduce((most, run) => Math.max(most, run.box[3] - run.box[0]), 0)
  for (let a = 0; a < order.length; a++) {
    const run = runs[order[a]]
    for (let b = a + 1; b < order.length && runs[order[b]].box[0] <= run.box[0] + widest + samePlace; b++) {
      const other = runs[order[b]]
      if (run.rule !== other.rule || run.open !== other.open || run.component !== other.component || run.tool !== other.tool) continue
      if (overlap(run.box, other.box)) parent[root(order[b])] = root(order[a])
    }
  }
  if (toolpath.pass !== undefined) {
    const ofBlock = new Map<string, number>()
    runs.forEach((run, i) => {
      const key = `${run.rule} ${run.open} ${run.component} ${run.tool} ${blockOfMotion(toolpath, run.worst)}`
      const earlier = ofBlock.get(key)
      if (earlier === undefined) ofBlock.set(key, i)
      else parent[root(i)] = root(earlier)
    })
  }
  const joined = new Map<number, ContactRun>()
  for (let i = 0; i < runs.length; i++) {
    const into = joined.get(root(i))
    if (into === undefined) joined.set(root(i), runs[i])
    else merge(into, runs[i])
  }
  return [...joined.values()]
}

function overlap(a: readonly number[], b: readonly number[]): boolean {
  for (let k = 0; k < 3; k++) if (a[k] > b[3 + k] + samePlace || b[k] > a[3 + k] + samePlace) return false
  return true
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
  if (into.seen === undefined) into.blocks += run.blocks
  else {
    seeToo(into.seen, run.seen)
    into.blocks = into.seen.blocks.size
  }
  for (let k = 0; k < 3; k++) {
    into.box[k] = Math.min(into.box[k], run.box[k])
    into.box[3 + k] = Math.max(into.box[3 + k], run.box[3 + k])
  }
}
