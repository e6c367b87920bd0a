import type { Point } from '../../../shared/finding.ts'
import { blockOfMotion, type Toolpath } from '../../../shared/toolpath.ts'
import { cellKey, stepsToNeighbours } from '../geometry/cell-key.ts'

/** Motions without the fault that may lie between two of one run: a facet's edge can interrupt a touch. */
const neighbours = 8

/** mm. A touch that ceased and comes again farther away than this is another one. */
const farthestJump = 3

/** mm. Places of the mesh nearer than this are one place. */
const samePlace = 0.5

/** Blocks touched where blocks run several times, and the first and last line of them. */
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

/** What takes part in a fault besides the motion: runs never mix two of these. */
export interface RunParties {
  /** The component of the tool, or the name of a machine body. */
  readonly component: string
  /** As in a finding's figures: `part`, `fixture:NAME` and so on. */
  readonly against: string
  readonly tool: number
}

/** One motion's figure that breaks a limit. */
export interface Fault {
  readonly motion: number
  readonly verdict: Verdict
  readonly value: number
  readonly certified: number
  readonly time: number
  readonly point: Point
}

/** Motions that touch the same place with the same component: one cause. */
export interface ContactRun extends RunParties {
  readonly rule: string
  readonly open: boolean
  worst: number
  worstVerdict: Verdict
  /** Time and place of the worst moment in the worst motion. */
  time: number
  point: Point
  /** Smallest distance attained in the run, and proven not to be undercut in it, mm. */
  value: number
  certified: number
  first: number
  last: number
  /** Lines touched, each once. */
  blocks: number
  /** Undefined where no block runs twice. */
  readonly seen: SeenBlocks | undefined
  /** Worst motions of the runs that were found to be at the same place. */
  readonly elsewhere: number[]
  /** The point touched last. */
  latest: Point
  /** Cubes of side `samePlace` that hold a touched point. */
  readonly cubes: Set<number>
}

/**
 * Gathers faults into runs of neighbouring motions at one place. Faults of the same parties come in
 * the order of the motions. `lengthOf`: how far the tool point goes in a motion, mm; a touch goes
 * along with it, so that is how far apart the worst points of neighbours at one place may lie.
 */
export class RunGatherer {
  readonly #runs: ContactRun[] = []
  readonly #open = new Map<string, ContactRun>()
  readonly #toolpath: Toolpath
  readonly #lengthOf: (motion: number) => number

  constructor(toolpath: Toolpath, lengthOf: (motion: number) => number) {
    this.#toolpath = toolpath
    this.#lengthOf = lengthOf
  }

  add({ component, against, tool }: RunParties, fault: Fault): void {
    const { motion, verdict, value, certified, time, point } = fault
    const key = `${verdict.rule} ${verdict.open} ${tool} ${component} ${against}`
    const current = this.#open.get(key)
    if (current !== undefined && motion - current.last <= neighbours && isNear(current.latest, point, () => wayBetween(current.last, motion, this.#lengthOf))) {
      extend(current, fault, this.#toolpath)
      return
    }
    const run: ContactRun = {
      component, against, tool, rule: verdict.rule, open: verdict.open, worst: motion, worstVerdict: verdict, time, point,
      value, certified, first: motion, last: motion, blocks: 1, seen: seenAt(this.#toolpath, motion), elsewhere: [], latest: point, cubes: new Set([cubeOf(point)]),
    }
    this.#open.set(key, run)
    this.#runs.push(run)
  }

  /** The runs, in the order of their first motions as they were added. */
  finish(): ContactRun[] {
    return joinSamePlace(this.#runs, this.#toolpath)
  }
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

function extend(run: ContactRun, fault: Fault, toolpath: Toolpath): void {
  const { motion, value, certified, point } = fault
  if (run.seen !== undefined) {
    seeToo(run.seen, seenAt(toolpath, motion))
    run.blocks = run.seen.blocks.size
  } else if (toolpath.line[motion] !== toolpath.line[run.last]) run.blocks++
  run.last = motion
  // The end of one block is the start of the next: what may be the same moment stays with the block that leads there.
  if (isWorse(value, certified, run.value)) takeWorst(run, motion, fault.verdict, fault)
  run.value = Math.min(run.value, value)
  run.certified = Math.min(run.certified, certified)
  run.latest = point
  run.cubes.add(cubeOf(point))
}

function takeWorst(run: ContactRun, worst: number, verdict: Verdict, { time, point }: Pick<Fault, 'time' | 'point'>): void {
  run.worst = worst
  run.worstVerdict = verdict
  run.time = time
  run.point = point
}

/** Whether a figure is smaller than another beyond what the search may have left of both. */
function isWorse(value: number, certified: number, than: number): boolean {
  return value < than - (value - certified)
}

/** Most are; how far the path goes between them is only asked where it decides. */
function isNear(a: ArrayLike<number>, b: ArrayLike<number>, way: () => number): boolean {
  const apart = Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2])
  return apart <= samePlace || apart <= samePlace + way()
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

/** Key of the cube that holds a point. */
function cubeOf(point: ArrayLike<number>): number {
  return cellKey(Math.floor(point[0] / samePlace), Math.floor(point[1] / samePlace), Math.floor(point[2] / samePlace))
}

/**
 * A path that comes by the same place pass after pass has one cause there: runs of one rule,
 * component and tool that touch the same cube or cubes side by side become one, which keeps the
 * others' worst motions. So do those whose worst motions are runs of one block, wherever they touch.
 */
function joinSamePlace(runs: ContactRun[], toolpath: Toolpath): ContactRun[] {
  const parent = runs.map((_, i) => i)
  const root = (i: number): number => {
    while (parent[i] !== i) i = parent[i] = parent[parent[i]]
    return i
  }
  const join = (i: number, owner: number | undefined) => {
    if (owner !== undefined) parent[root(i)] = root(owner)
  }
  // Of each kind a run that touches the cube, by the cube's key.
  const kinds = new Map<string, Map<number, number>>()
  runs.forEach((run, i) => {
    const kind = `${run.rule} ${run.open} ${run.component} ${run.against} ${run.tool}`, owners = kinds.get(kind) ?? new Map<number, number>()
    kinds.set(kind, owners)
    for (const cube of run.cubes) {
      join(i, owners.get(cube))
      owners.set(cube, i)
    }
  })
  for (const owners of kinds.values()) for (const [cube, i] of owners) for (const step of stepsToNeighbours) join(i, owners.get(cube + step))
  if (toolpath.pass !== undefined) {
    const ofBlock = new Map<string, number>()
    runs.forEach((run, i) => {
      const key = `${run.rule} ${run.open} ${run.component} ${run.against} ${run.tool} ${blockOfMotion(toolpath, run.worst)}`
      join(i, ofBlock.get(key))
      ofBlock.set(key, i)
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

function merge(into: ContactRun, run: ContactRun): void {
  if (isWorse(run.value, run.certified, into.value)) {
    into.elsewhere.push(into.worst)
    takeWorst(into, run.worst, run.worstVerdict, run)
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
}
