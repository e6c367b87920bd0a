import type { Cancellation } from '../../../shared/cancellation.ts'
import { components, type Component } from '../../../shared/finding.ts'
import type { Kinematics } from '../../../shared/kinematics.ts'
import { MotionPose } from '../../../shared/motion-pose.ts'
import type { Limits } from '../../../shared/setup.ts'
import { MotionFlag, type Toolpath } from '../../../shared/toolpath.ts'
import { PieceDistance } from '../geometry/piece-distance.ts'
import { finestEpsilon } from '../geometry/tolerance.ts'
import type { MeshTree } from '../mesh/mesh-tree.ts'
import type { Assembly } from './assembly.ts'
import { ComponentSearch } from './component-search.ts'
import { FIGURES_PER_MOTION, newContactFigures, type ContactFigures } from './contact-figures.ts'
import type { LimitTable } from './effective-limits.ts'
import { PoseCells } from './pose-cells.ts'

/**
 * Motions of one run. The last winning triangle is tried first in the next motion, which changes
 * attained values within epsilon; it is forgotten at the start of each run, so that results do not
 * depend on how runs are dealt to threads.
 */
export const motionsPerRun = 256

/** How far each component is searched, mm: enough for a figure worth showing. A larger limit in the sheet widens it. */
const searchReach: Readonly<Record<Component, number>> = { cutter: 0.5, neck: 0.5, shank: 2, holder: 5 }

/** What a search needs of a program and its scene: plain data, may be cloned into a worker. */
export interface SearchInput {
  readonly kinematics: Kinematics
  readonly toolpath: Toolpath
  /** By tool index of the toolpath; undefined where the tool's shape cannot be simulated. */
  readonly assemblies: readonly (Assembly | undefined)[]
  readonly limits: LimitTable
  readonly epsilon: number
}

/** Distance figures at which a verdict changes: where an interval straddles one, it is narrowed. */
export function verdictLimits(component: Component, rapid: boolean, limits: Limits): number[] {
  if (component === 'cutter') return rapid ? [0, limits.clearance.rapid] : [limits.stockToLeave - limits.gouge]
  const clearance = limits.clearance[component]
  return [0, rapid ? Math.max(clearance, limits.clearance.rapid) : clearance]
}

/** Searches motions against one mesh, one after another; holds everything that can be used again between them. */
export class MotionSearcher {
  readonly #input: SearchInput
  readonly #motion: MotionPose
  readonly #cells: PoseCells
  /** By tool index and component: one search a piece. */
  readonly #searches: readonly (readonly (readonly ComponentSearch[])[] | undefined)[]

  constructor(input: SearchInput, tree: MeshTree) {
    this.#input = input
    this.#motion = new MotionPose(input.kinematics, input.toolpath, input.assemblies.map(assembly => assembly?.gaugeLength ?? 0))
    this.#cells = new PoseCells(this.#motion)
    this.#searches = input.assemblies.map(assembly => assembly?.shapes.map(shape =>
      shape.pieces.map(piece => new ComponentSearch(tree, new PieceDistance(piece), this.#motion, this.#cells))))
  }

  /** Searches [first, first + count); stops early, with what there is, once cancelled. */
  searchRun(first: number, count: number, cancellation: Cancellation): ContactFigures {
    const figures = newContactFigures(first, count)
    const warm = new Map<ComponentSearch, number>()
    for (let i = 0; i < count; i++) {
      if (cancellation.cancelled()) break
      this.#searchMotion(first + i, i * FIGURES_PER_MOTION, figures, warm)
    }
    return figures
  }

  #searchMotion(motion: number, at: number, figures: ContactFigures, warm: Map<ComponentSearch, number>): void {
    const { toolpath, limits, epsilon } = this.#input
    const searches = this.#searches[toolpath.tool[motion]]
    if (searches === undefined || (toolpath.flags[motion] & MotionFlag.unknownStart) !== 0) return
    const rapid = (toolpath.flags[motion] & MotionFlag.rapid) !== 0
    const inForce = limits.sets[limits.ofMotion[motion]].limits
    this.#motion.begin(motion)
    this.#cells.begin()
    for (let c = 0; c < components.length; c++) {
      const verdicts = verdictLimits(components[c], rapid, inForce)
      const reach = Math.max(searchReach[components[c]], ...verdicts.map(limit => limit * 1.25 + epsilon))
      this.#searchComponent(searches[c], reach, epsilon, at + c, figures, warm)
      const straddles = (limit: number) => figures.certified[at + c] < limit && figures.value[at + c] >= limit
      if (epsilon > finestEpsilon && verdicts.some(straddles)) {
        this.#searchComponent(searches[c], reach, finestEpsilon, at + c, figures, warm)
      }
    }
  }

  #searchComponent(pieces: readonly ComponentSearch[], reach: number, epsilon: number, at: number, figures: ContactFigures, warm: Map<ComponentSearch, number>): void {
    let best = reach, certified = Infinity
    for (const piece of pieces) {
      piece.run(best, epsilon, warm.get(piece) ?? -1)
      certified = Math.min(certified, piece.certified)
      if (piece.value < best) {
        best = piece.value
        figures.value[at] = best
        figures.time[at] = piece.time
        figures.point.set(piece.point, at * 3)
      }
      if (piece.triangle >= 0) warm.set(piece, piece.triangle)
    }
    figures.certified[at] = certified
  }
}
