import { components } from '../../../shared/finding.ts'
import type { MotionPose } from '../../../shared/motion-pose.ts'
import { MotionFlag } from '../../../shared/toolpath.ts'
import { PieceDistance } from '../geometry/piece-distance.ts'
import { finestEpsilon, roundingAllowance } from '../geometry/tolerance.ts'
import type { Cancellation } from '../../../shared/cancellation.ts'
import { ComponentSearch } from './component-search.ts'
import type { ContactFigures } from './contact-figures.ts'
import type { NearFigure } from './near-figure.ts'
import { wantedFrom, type Obstacle } from './obstacle.ts'
import type { PoseCells } from './pose-cells.ts'
import type { SearchInput } from './search-motions.ts'
import { isPathStart, startsInside } from './starts-inside.ts'

type Figure = Pick<NearFigure, 'value' | 'certified' | 'time' | 'point'>

/**
 * Searches motions of the tool against one fixture or barrier, by the same branch and bound as
 * against the part, but only as far as the distance that must be kept: what is proven to keep it
 * leaves no figure.
 */
export class ObstacleSearch {
  readonly #input: SearchInput
  readonly #obstacle: Obstacle
  readonly #motion: MotionPose
  /** By tool index and component: one search a piece. */
  readonly #searches: readonly (readonly (readonly ComponentSearch[])[] | undefined)[]

  /** `motion` and `cells` are shared by all obstacles; whoever owns them has the motion in hand that is asked for. */
  constructor(input: SearchInput, obstacle: Obstacle, motion: MotionPose, cells: PoseCells, cancellation: Cancellation) {
    this.#input = input
    this.#obstacle = obstacle
    this.#motion = motion
    this.#searches = input.assemblies.map(assembly => assembly?.shapes.map(shape =>
      shape.pieces.map(piece => new ComponentSearch(obstacle.tree, new PieceDistance(piece), motion, cells, cancellation))))
  }

  /** Adds the figures of the motion in hand that break a limit, or may. */
  search(motion: number, figures: ContactFigures): void {
    const { toolpath, limits, assemblies } = this.#input, { kind, index } = this.#obstacle
    const searches = this.#searches[toolpath.tool[motion]], assembly = assemblies[toolpath.tool[motion]]
    if (searches === undefined || assembly === undefined || (toolpath.flags[motion] & MotionFlag.unknownStart) !== 0) return
    // A barrier is a surface: it need not be closed, and has no inside.
    if (kind === 'fixture' && isPathStart(toolpath, motion)) {
      const inside = startsInside(motion, this.#motion, assembly, this.#obstacle.tree)
      if (inside !== undefined) figures.inside.push({ ...inside, against: { kind, index } })
    }
    const inForce = limits.sets[limits.ofMotion[motion]]
    for (let c = 0; c < components.length; c++) {
      const wanted = wantedFrom(this.#obstacle, components[c], this.#input.fixtures ?? [], inForce)
      if (wanted === undefined) continue
      const figure = this.#nearest(searches[c], wanted)
      if (figure !== undefined) figures.near.push({ motion, who: components[c], against: { kind, index }, ...figure })
    }
  }

  /** The smallest distance of one component where that is below what is wanted, or cannot be told. */
  #nearest(pieces: readonly ComponentSearch[], wanted: number): Figure | undefined {
    const { epsilon } = this.#input
    // So far out that nothing found proves the wanted distance to be kept.
    const cap = wanted + 2 * epsilon
    let best: Figure | undefined, certified = Infinity
    for (const piece of pieces) {
      piece.run(best?.value ?? cap, epsilon)
      certified = Math.min(certified, piece.certified)
      if (piece.value < (best?.value ?? cap)) best = figureOf(piece)
    }
    if (certified >= wanted) return undefined
    // Nothing was found, yet the search gave up before it could prove that: undecided, at the distance wanted.
    let figure: Figure = best === undefined ? { value: cap, certified, time: 0, point: middleOf(this.#obstacle) } : { ...best, certified }
    for (const limit of wanted > 0 ? [0, wanted] : [wanted]) {
      if (figure.certified < limit && figure.value >= limit) figure = decide(pieces, limit, figure)
    }
    return figure.certified >= wanted ? undefined : figure
  }
}

/** The interval holds a limit: looks for anything below it, to the finest width. Either something is found, or the limit is proven to be kept, or the verdict stays open. */
function decide(pieces: readonly ComponentSearch[], limit: number, figure: Figure): Figure {
  let found = figure, certified = Infinity
  for (const piece of pieces) {
    piece.run(limit + finestEpsilon, finestEpsilon - 2 * roundingAllowance)
    certified = Math.min(certified, piece.certified)
    if (piece.value < found.value) found = figureOf(piece)
  }
  return { ...found, certified: Math.max(figure.certified, Math.min(certified, found.value)) }
}

function figureOf(piece: ComponentSearch): Figure {
  const [x, y, z] = piece.point
  return { value: piece.value, certified: piece.certified, time: piece.time, point: [x, y, z] }
}

function middleOf({ tree: { min, max } }: Obstacle): [number, number, number] {
  return [(min[0] + max[0]) / 2, (min[1] + max[1]) / 2, (min[2] + max[2]) / 2]
}
