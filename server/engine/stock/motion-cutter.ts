import type { Cancellation } from '../../../shared/cancellation.ts'
import type { MotionPose } from '../../../shared/motion-pose.ts'
import type { ComponentShape } from '../contact/assembly.ts'
import { PieceDistance } from '../geometry/piece-distance.ts'
import type { Engagement } from './engagement.ts'
import { GridWalk, type TileVisitor } from './grid-walk.ts'
import { rayInTile, SKIN, type RayFamily } from './ray-family.ts'
import type { StockGrid } from './stock-grid.ts'
import { SweepCell } from './sweep-cell.ts'
import { SweptSection } from './swept-section.ts'

/** mm. A motion is parted into stretches until what it bends in them is no more than this. */
const mostBend = 0.001

/** Stretches of one motion at most; beyond that the model is coarser, and less is taken away. */
const mostStretches = 2048

/** mm. Material that the piece goes into by no more than this is left alone: what the cut before has left there would be shaved again and again. */
const shaving = 0.001

/** mm. How far the places between the ends of a cut may stray from the model by the turning of the tool. */
const mostStray = 0.001

/** Of the motion. Shorter times are not parted. */
const shortestHalf = 1e-4

/** mm. Bounds are kept as float32, and what is thinner than a skin goes with its neighbour: less than this within a metre. */
const rayRounding = SKIN + 6e-5

interface CutPiece { readonly cell: SweepCell, readonly section: SweptSection }

/** Takes what the cutting part of one tool sweeps away from the stock. */
export class MotionCutter implements TileVisitor {
  limit = 0
  /** mm. The largest distance by which less was taken away than the tool sweeps. */
  shortfall = 0
  readonly #grid: StockGrid
  readonly #walk: GridWalk
  readonly #cancellation: Cancellation
  readonly #pieces: readonly CutPiece[]
  readonly #excess: number
  #cell: SweepCell
  #section: SweptSection
  #engagement: Engagement | undefined
  /** Where the place 0 of the ray in hand lies, mm from the grid's origin. */
  #base = 0
  /** mm. The distance inside the piece from which a point of the model is certainly swept. */
  #level = 0

  /** `cutter`: the shape of the cutting part; with at least one piece. */
  constructor(grid: StockGrid, cutter: ComponentShape, cancellation: Cancellation) {
    this.#grid = grid
    this.#cancellation = cancellation
    this.#walk = new GridWalk(grid.frame)
    this.#pieces = cutter.pieces.map(outline => {
      const piece = new PieceDistance(outline)
      return { cell: new SweepCell(piece, 0), section: new SweptSection(piece) }
    })
    this.#excess = cutter.excess
    this.#cell = this.#pieces[0].cell
    this.#section = this.#pieces[0].section
  }

  /** Cuts the stretch [from, to] of the motion that the pose has in hand, and writes what goes into `engagement`. */
  cut(pose: MotionPose, engagement: Engagement, from = 0, to = 1): void {
    this.#engagement = engagement
    for (const { cell, section } of this.#pieces) {
      this.#cell = cell
      this.#section = section
      const count = Math.ceil(cell.stretches(pose, mostBend, mostStretches) * (to - from)), step = (to - from) / count
      for (let n = 0; n < count; n++) {
        cell.set(pose, from + n * step, from + (n + 1) * step)
        // The same for all stretches that bend, so that none shaves what another has left.
        const isEven = pose.turn === 0 && pose.acceleration === 0
        const bend = isEven ? cell.error : Math.max(mostBend, cell.error)
        this.#level = -bend - (isEven ? 0 : mostStray) - this.#excess - rayRounding
        this.shortfall = Math.max(this.shortfall, bend + shaving - this.#level)
        engagement.enter(cell)
        for (const family of this.#grid.families) if (!this.#walk.walk(family, cell, this)) return
      }
    }
  }

  visit(family: RayFamily, at: number, i0: number, i1: number, j0: number, j1: number): boolean {
    const cell = this.#cell, { origin, pitch } = this.#grid.frame
    const { axis, u, v } = family
    const low = cell.low[axis] - origin[axis], high = cell.high[axis] - origin[axis]
    // Places along the rays count from where they pass the middle of the piece.
    const middle = axis === 0 ? cell.px + cell.centre * cell.ax : axis === 1 ? cell.py + cell.centre * cell.ay : cell.pz + cell.centre * cell.az
    this.#base = middle - origin[axis]
    let tile = family.tiles[at], owned = false
    if (tile === undefined) return true
    if (this.#cancellation.cancelled()) return false
    for (let j = j0; j < j1; j++) {
      const pv = origin[v] + (j + 0.5) * pitch[v]
      for (let i = i0; i < i1; i++) {
        const ray = rayInTile(i, j), count = tile.counts[ray]
        if (count === 0) continue
        let first = ray * tile.slots * 2
        if (tile.bounds[first] >= high || tile.bounds[first + 2 * count - 1] <= low) continue
        let begun = false
        // From the last stretch down: parting one leaves those before it in their places.
        for (let k = count - 1; k >= 0; k--) {
          const from = tile.bounds[first + 2 * k], to = tile.bounds[first + 2 * k + 1]
          if (from >= high || to <= low) continue
          if (!begun) {
            const pu = origin[u] + (i + 0.5) * pitch[u]
            this.#section.begin(cell, axis === 0 ? middle : axis === 1 ? pv : pu, axis === 0 ? pu : axis === 1 ? middle : pv, axis === 0 ? pv : axis === 1 ? pu : middle, axis)
            begun = true
          }
          if (!this.#cutStretch(family, at, ray, from, to, low, high, 0, cell.half, owned)) continue
          owned = true
          // It was copied, or a parted stretch has needed a larger one.
          tile = family.tiles[at] ?? tile
          first = ray * tile.slots * 2
        }
      }
    }
    if (owned) family.shrink(at)
    return true
  }

  /** Cuts one stretch of material within [low, high]; false where the sweep leaves it alone. The time is parted where the turning could lead out of the sweep between the ends of the cut. */
  #cutStretch(family: RayFamily, at: number, ray: number, from: number, to: number, low: number, high: number, middle: number, half: number, owned: boolean): boolean {
    const section = this.#section, base = this.#base, level = this.#level, shaved = level - shaving
    const cutLow = Math.max(from, low) - base, cutHigh = Math.min(to, high) - base
    // An end of the material in the box is the likelier to be left alone: it is looked at first.
    const isDownward = to <= high, start = isDownward ? cutHigh : cutLow, end = isDownward ? cutLow : cutHigh
    section.setTime(middle, half)
    if (!section.boundary(start, end, level, shaved)) return false
    const near = section.place, time = section.time
    if (!section.boundary(end, near, level, shaved)) return false
    const stray = section.stray(near, time)
    if (stray > mostStray && half > shortestHalf) {
      const before = this.#cutStretch(family, at, ray, from, to, low, high, middle - half / 2, half / 2, owned)
      return this.#cutStretch(family, at, ray, from, to, low, high, middle + half / 2, half / 2, owned || before) || before
    }
    const a = Math.min(near, section.place), b = Math.max(near, section.place)
    if (!owned) family.own(at)
    const gone = family.cut(at, ray, a + base, b + base)
    if (gone > 0) this.#engagement?.removed(family, section, a, b, time, gone)
    return true
  }
}
