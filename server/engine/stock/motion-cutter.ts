import type { Cancellation } from '../../../shared/cancellation.ts'
import type { MotionPose } from '../../../shared/motion-pose.ts'
import type { ComponentShape } from '../contact/assembly.ts'
import { PieceDistance } from '../geometry/piece-distance.ts'
import { ClearPlanes } from './clear-planes.ts'
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
  readonly #planes = new ClearPlanes()
  /** Place 0 of the ray in hand, part frame. */
  readonly #place = new Float64Array(3)
  #cell: SweepCell
  #section: SweptSection
  #engagement: Engagement | undefined
  /** Where the place 0 of the ray in hand lies, mm from the grid's origin. */
  #base = 0

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
        // So deep inside the piece a point of the model is certainly swept.
        const level = -bend - (isEven ? 0 : mostStray) - this.#excess - rayRounding
        this.shortfall = Math.max(this.shortfall, bend + shaving - level)
        engagement.enter(cell)
        section.setLevel(level, shaving)
        this.#planes.begin(cell, level)
        for (const family of this.#grid.families) if (!this.#walk.walk(family, cell, this)) return
      }
    }
  }

  visit(family: RayFamily, at: number, i0: number, i1: number, j0: number, j1: number): boolean {
    const cell = this.#cell, section = this.#section, planes = this.#planes, { stretch, row } = planes, place = this.#place, { origin, pitch } = this.#grid.frame
    const { axis, u, v } = family
    let tile = family.tiles[at], owned = false
    if (tile === undefined) return true
    if (this.#cancellation.cancelled()) return false
    // Places along the rays count from where they pass the middle of the piece.
    place[axis] = axis === 0 ? cell.px + cell.centre * cell.ax : axis === 1 ? cell.py + cell.centre * cell.ay : cell.pz + cell.centre * cell.az
    const base = place[axis] - origin[axis], low = cell.low[axis] - place[axis], high = cell.high[axis] - place[axis]
    const lowest = Math.max(low, tile.low - base), highest = Math.min(high, tile.high - base)
    planes.setRows(origin[u] + 0.5 * pitch[u], pitch[u])
    this.#base = base
    for (let j = j0; j < j1; j++) {
      place[v] = origin[v] + (j + 0.5) * pitch[v]
      row[0] = i0
      row[1] = i1
      stretch[0] = lowest
      stretch[1] = highest
      if (!planes.trims(place, u, v, axis)) continue
      for (let i = row[0]; i < row[1]; i++) {
        const ray = rayInTile(i, j)
        let first = ray * tile.slots * 2, isBegun = false
        place[u] = origin[u] + (i + 0.5) * pitch[u]
        // From the last stretch down: parting one leaves those before it in their places.
        for (let k = tile.counts[ray] - 1; k >= 0; k--) {
          const from = tile.bounds[first + 2 * k] - base, to = tile.bounds[first + 2 * k + 1] - base
          if (from >= high) continue
          if (to <= low) break
          stretch[0] = from < low ? low : from
          stretch[1] = to > high ? high : to
          if (planes.clears(place, axis)) continue
          if (!isBegun) {
            section.begin(cell, place, axis)
            isBegun = true
          }
          if (!this.#cutStretch(family, at, ray, to <= high, owned, 0, 0)) {
            planes.add(section)
            continue
          }
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

  /**
   * Cuts the stretch of material in the planes' hands, in part n of 2^depth even parts of the cell's time; false where the sweep leaves it
   * alone. The time is parted where the turning could lead out of the sweep between the ends of the cut.
   */
  #cutStretch(family: RayFamily, at: number, ray: number, isDownward: boolean, owned: boolean, depth: number, n: number): boolean {
    const section = this.#section, { stretch } = this.#planes, half = this.#cell.half / (1 << depth)
    section.setTime((2 * n + 1) * half - this.#cell.half, half)
    // An end of the material in the box is the likelier to be left alone: it is looked at first.
    const start = isDownward ? 1 : 0, whole = stretch[start]
    if (!section.boundary(stretch, start)) return false
    const near = section.place, time = section.time
    stretch[start] = near
    const isFound = section.boundary(stretch, isDownward ? 0 : 1)
    stretch[start] = whole
    if (!isFound) return false
    if (section.stray(near, time) > mostStray && half > shortestHalf) {
      const before = this.#cutStretch(family, at, ray, isDownward, owned, depth + 1, 2 * n)
      return this.#cutStretch(family, at, ray, isDownward, owned || before, depth + 1, 2 * n + 1) || before
    }
    const a = Math.min(near, section.place), b = Math.max(near, section.place)
    if (!owned) family.own(at)
    const gone = family.cut(at, ray, a + this.#base, b + this.#base)
    if (gone > 0) this.#engagement?.removed(family, section, a, b, time, gone)
    return true
  }
}
