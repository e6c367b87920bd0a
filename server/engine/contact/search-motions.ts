import type { Cancellation } from '../../../shared/cancellation.ts'
import { components, type Component } from '../../../shared/finding.ts'
import type { Kinematics } from '../../../shared/kinematics.ts'
import type { MachineBody } from '../../../shared/machine.ts'
import { MotionPose } from '../../../shared/motion-pose.ts'
import type { Fixture, Limits } from '../../../shared/setup.ts'
import { MotionFlag, type Toolpath } from '../../../shared/toolpath.ts'
import { PieceDistance } from '../geometry/piece-distance.ts'
import { finestEpsilon, roundingAllowance } from '../geometry/tolerance.ts'
import type { MeshTree } from '../mesh/mesh-tree.ts'
import type { Assembly } from './assembly.ts'
import { ComponentSearch } from './component-search.ts'
import { FIGURES_PER_MOTION, newContactFigures, type ContactFigures } from './contact-figures.ts'
import type { LimitTable } from './effective-limits.ts'
import { PoseCells } from './pose-cells.ts'
import { isPathStart, startsInside } from './starts-inside.ts'
import { turningOf, type Turning } from './turning.ts'

/** Motions of one run as they are dealt to threads: some 15 ms of work. A motion's figures do not depend on the run it is searched in. */
export const motionsPerRun = 256

/** How far each component is searched, mm: enough for a figure worth showing. A larger limit in the sheet widens it. */
const searchReach: Readonly<Record<Component, number>> = { cutter: 0.5, neck: 0.5, shank: 2, holder: 5 }

/** A rapid is still leaving the cut over this many times the clearance it must keep. */
const leavingDistance = 2

/** mm. Beyond this a distance to the part is of no interest. */
const farthest = 1e5

/** A component's smallest distance over a whole program. */
export interface FarFigure { readonly motion: number, readonly value: number, readonly certified: number }

/** What a search needs of a program and its scene: plain data, may be cloned into a worker. */
export interface SearchInput {
  readonly kinematics: Kinematics
  readonly toolpath: Toolpath
  /** By tool index of the toolpath; undefined where the tool's shape cannot be simulated. */
  readonly assemblies: readonly (Assembly | undefined)[]
  readonly limits: LimitTable
  /** The sheet's fixtures; absent: none. */
  readonly fixtures?: readonly Fixture[]
  /** The machine's bodies; absent: none. */
  readonly bodies?: readonly MachineBody[]
  readonly epsilon: number
}

/** Distance figures at which a verdict changes: where an interval straddles one, it is narrowed. */
export function verdictLimits(component: Component, rapid: boolean, turning: Turning, limits: Limits): number[] {
  const { stockToLeave, gouge, clearance } = limits
  if (component === 'cutter') {
    if (rapid) return [-gouge, clearance.rapid]
    return turning === 'index' ? [stockToLeave - gouge, stockToLeave + gouge, clearance.rapid] : [stockToLeave - gouge]
  }
  const own = clearance[component], clear = Math.max(own, clearance.rapid)
  if (rapid) return [0, clear]
  return turning === 'index' ? [0, own, clear] : [0, own]
}

/**
 * One search a piece. Pieces that stand off the described body by `excess` come that much nearer than
 * the body at most: what is attained is attained by the body with that much more.
 */
interface ShapeSearch {
  readonly pieces: readonly ComponentSearch[]
  readonly excess: number
}

/** Searches motions against one mesh, one after another; holds everything that can be used again between them. */
export class MotionSearcher {
  readonly #input: SearchInput
  readonly #tree: MeshTree
  readonly #cancellation: Cancellation
  readonly #motion: MotionPose
  readonly #cells: PoseCells
  /** By tool index and component. */
  readonly #searches: readonly (readonly ShapeSearch[] | undefined)[]

  constructor(input: SearchInput, tree: MeshTree, cancellation: Cancellation) {
    this.#input = input
    this.#tree = tree
    this.#cancellation = cancellation
    this.#motion = new MotionPose(input.kinematics, input.toolpath, input.assemblies.map(assembly => assembly?.gaugeLength ?? 0))
    this.#cells = new PoseCells(this.#motion)
    this.#searches = input.assemblies.map(assembly => assembly?.shapes.map(({ pieces, excess }): ShapeSearch => ({
      pieces: pieces.map(piece => new ComponentSearch(tree, new PieceDistance(piece), this.#motion, this.#cells, cancellation)),
      excess,
    })))
  }

  /** Searches [first, first + count); stops early, with what there is, once cancelled. */
  searchRun(first: number, count: number): ContactFigures {
    const figures = newContactFigures(first, count)
    for (let i = 0; i < count; i++) {
      if (this.#cancellation.cancelled()) break
      this.#searchMotion(first + i, i * FIGURES_PER_MOTION, figures)
    }
    return figures
  }

  #searchMotion(motion: number, at: number, figures: ContactFigures): void {
    const { kinematics, toolpath, limits, epsilon } = this.#input
    const searches = this.#searches[toolpath.tool[motion]]
    if (searches === undefined || (toolpath.flags[motion] & MotionFlag.unknownStart) !== 0) return
    const rapid = (toolpath.flags[motion] & MotionFlag.rapid) !== 0
    const turning = turningOf(toolpath, kinematics, motion)
    const inForce = limits.sets[limits.ofMotion[motion]].limits
    this.#motion.begin(motion)
    this.#cells.begin()
    const assembly = this.#input.assemblies[toolpath.tool[motion]]
    if (assembly !== undefined && isPathStart(toolpath, motion)) {
      const inside = startsInside(motion, this.#motion, assembly, this.#tree)
      if (inside !== undefined) figures.inside.push(inside)
    }
    for (let c = 0; c < components.length; c++) {
      const verdicts = verdictLimits(components[c], rapid, turning, inForce)
      const reach = Math.max(searchReach[components[c]], ...verdicts.map(limit => limit * 1.25 + epsilon))
      this.#searchComponent(searches[c], reach, epsilon, at + c, figures)
      for (const limit of verdicts) {
        const straddles = figures.certified[at + c] < limit && figures.value[at + c] >= limit
        if (straddles) this.#decide(searches[c], limit, at + c, figures)
      }
    }
    // What turns a rotary axis has to be clear before it sets out.
    if (rapid && turning === 'none' && figures.certified[at] >= -inForce.gouge && figures.value[at] < inForce.clearance.rapid) this.#leaveCut(motion, searches[0], at, inForce, figures)
  }

  /**
   * A rapid that leaves the cut starts at the surface, and that is no fault. What counts is where it
   * goes: once it is proven to go nowhere deeper than a cut may, the cutter's figure is taken anew
   * without the time in which it gets clear of where it came from.
   */
  #leaveCut(motion: number, shape: ShapeSearch, at: number, limits: Limits, figures: ContactFigures): void {
    const { toolpath, epsilon } = this.#input
    const before = motion - 1
    const leaves = before >= 0 && toolpath.tool[before] === toolpath.tool[motion]
      && (toolpath.flags[before] & (MotionFlag.rapid | MotionFlag.unknownStart)) === 0
    const from = leavingDistance * limits.clearance.rapid / this.#motion.speed
    if (!leaves || !(from < 1)) return
    figures.value[at] = Infinity
    let best = Math.max(searchReach.cutter, limits.clearance.rapid * 1.25), certified = Infinity
    for (const piece of shape.pieces) {
      piece.run(best, epsilon, from)
      certified = Math.min(certified, piece.certified)
      if (piece.value < best) best = takeFigure(piece, shape.excess, at, figures)
    }
    figures.certified[at] = certified
  }

  #searchComponent(shape: ShapeSearch, reach: number, epsilon: number, at: number, figures: ContactFigures): void {
    let best = reach, certified = Infinity
    for (const piece of shape.pieces) {
      piece.run(best, epsilon)
      certified = Math.min(certified, piece.certified)
      if (piece.value < best) best = takeFigure(piece, shape.excess, at, figures)
    }
    figures.certified[at] = certified
  }

  /**
   * The interval holds a limit: looks for anything below it, which is far less work than the figure
   * itself to the same fineness. Either something is found, or the limit is proven to be kept, or
   * the true figure lies within `finestEpsilon` of the limit and the verdict stays open.
   */
  #decide(shape: ShapeSearch, limit: number, at: number, figures: ContactFigures): void {
    let certified = Infinity
    for (const piece of shape.pieces) {
      piece.run(limit + finestEpsilon, finestEpsilon - 2 * roundingAllowance)
      certified = Math.min(certified, piece.certified)
      if (piece.value + shape.excess < figures.value[at]) takeFigure(piece, shape.excess, at, figures)
    }
    figures.certified[at] = Math.max(figures.certified[at], Math.min(certified, figures.value[at]))
  }

  /**
   * The smallest distance of one component over all motions of a tool, without a reach: for the
   * record of a tool that never comes near. Undefined when there is nothing to search.
   */
  searchFarthest(tool: number, component: number): FarFigure | undefined {
    const { toolpath, epsilon } = this.#input
    const shape = this.#searches[tool]?.[component]
    if (shape === undefined) return undefined
    let found: FarFigure | undefined
    for (let i = 0; i < toolpath.count; i++) {
      if (this.#cancellation.cancelled()) return undefined
      if (toolpath.tool[i] !== tool || (toolpath.flags[i] & MotionFlag.unknownStart) !== 0) continue
      this.#motion.begin(i)
      this.#cells.begin()
      for (const piece of shape.pieces) {
        piece.run(found?.value ?? farthest, epsilon)
        if (piece.value < (found?.value ?? farthest)) found = { motion: i, value: piece.value, certified: Math.min(piece.certified, found?.certified ?? Infinity) }
        else if (found !== undefined && piece.certified < found.certified) found = { ...found, certified: piece.certified }
      }
    }
    return found === undefined ? undefined : { ...found, value: found.value + shape.excess }
  }
}

/** Writes the best moment of a piece as the component's figure, and returns its value. */
function takeFigure(piece: ComponentSearch, excess: number, at: number, figures: ContactFigures): number {
  figures.value[at] = piece.value + excess
  figures.time[at] = piece.time
  figures.point.set(piece.point, at * 3)
  return piece.value
}
