import type { Cancellation } from '../../../shared/cancellation.ts'
import type { MotionPose } from '../../../shared/motion-pose.ts'
import type { ConvexOutline } from '../geometry/convex-outline.ts'
import { grossDepth } from '../contact/figure-words.ts'
import { PieceDistance } from '../geometry/piece-distance.ts'
import { GridWalk, type TileVisitor } from './grid-walk.ts'
import { rayInTile, type RayFamily } from './ray-family.ts'
import type { StockGrid } from './stock-grid.ts'
import { SweepCell } from './sweep-cell.ts'
import { SweptSection } from './swept-section.ts'

/** mm. Width to which the least distance is worked out. */
const width = 0.01

/** mm. What bends more in a stretch of time is parted, where material is near. */
const mostBend = 0.005

/** Halvings of the time. */
const deepest = 12

/** How near some pieces of the tool come to the material on the rays during a motion; negative: how deep they stand in it. */
export class StockContact implements TileVisitor {
  limit = 0
  /** The least distance attained, mm; Infinity where all stays beyond what was asked for. */
  value = Infinity
  /** The rays' material comes no nearer than this, mm. */
  certified = Infinity
  /** Time of that moment in the motion, and the place on a ray; part frame, mm. */
  time = 0
  readonly point = new Float64Array(3)
  /** Distance from the tool's axis and height over the tool point there, mm. */
  radius = 0
  height = 0
  readonly #grid: StockGrid
  readonly #walk: GridWalk
  readonly #cancellation: Cancellation
  readonly #pieces: readonly { readonly cells: readonly SweepCell[], readonly section: SweptSection }[]
  readonly #cap: number
  #cell: SweepCell | undefined
  #section: SweptSection | undefined
  /** Place 0 of the ray in hand, part frame. */
  readonly #place = new Float64Array(3)
  #isNear = false
  #mayPart = false

  /** `cap`: nothing farther than this counts, mm. */
  constructor(grid: StockGrid, outlines: readonly ConvexOutline[], cap: number, cancellation: Cancellation) {
    this.#grid = grid
    this.#walk = new GridWalk(grid.frame)
    this.#cancellation = cancellation
    this.#cap = cap
    this.#pieces = outlines.map(outline => {
      const piece = new PieceDistance(outline)
      return { section: new SweptSection(piece), cells: Array.from({ length: deepest + 1 }, () => new SweepCell(piece, Math.max(cap, 0))) }
    })
  }

  /** Searches the stretch [from, to] of the motion that the pose has in hand; true where anything is nearer than the cap. */
  search(pose: MotionPose, from = 0, to = 1): boolean {
    this.value = Infinity
    this.certified = Infinity
    this.limit = this.#cap
    for (const piece of this.#pieces) {
      this.#section = piece.section
      this.#searchTime(piece.cells, pose, from, to, 0)
    }
    return this.value < this.#cap
  }

  #searchTime(cells: readonly SweepCell[], pose: MotionPose, from: number, to: number, depth: number): void {
    // A tool in solid stock meets every ray of it: how deep it stands there nobody needs to know to a hundredth.
    if (this.value < -grossDepth || this.#cancellation.cancelled()) return
    const cell = cells[depth]
    cell.set(pose, from, to)
    this.#cell = cell
    this.#mayPart = depth < deepest && cell.error + cell.turn * cell.half * (cell.piece.outline.top - cell.piece.outline.bottom) / 2 > mostBend
    this.#isNear = false
    for (const family of this.#grid.families) if (!this.#walk.walk(family, cell, this)) break
    if (!this.#isNear) return
    const middle = (from + to) / 2
    this.#searchTime(cells, pose, from, middle, depth + 1)
    this.#searchTime(cells, pose, middle, to, depth + 1)
  }

  visit(family: RayFamily, at: number, i0: number, i1: number, j0: number, j1: number): boolean {
    const cell = this.#cell, section = this.#section, tile = family.tiles[at]
    if (cell === undefined || section === undefined || tile === undefined) return true
    if (this.#mayPart) {
      // The model is too coarse to look at rays: that is left to shorter times.
      this.#isNear = true
      return false
    }
    const { origin, pitch } = this.#grid.frame, { axis, u, v } = family
    const low = cell.low[axis] - origin[axis], high = cell.high[axis] - origin[axis]
    const middle = axis === 0 ? cell.px + cell.centre * cell.ax : axis === 1 ? cell.py + cell.centre * cell.ay : cell.pz + cell.centre * cell.az
    const base = middle - origin[axis], place = this.#place
    place[axis] = middle
    for (let j = j0; j < j1; j++) {
      place[v] = origin[v] + (j + 0.5) * pitch[v]
      for (let i = i0; i < i1; i++) {
        const ray = rayInTile(i, j), count = tile.counts[ray], first = ray * tile.slots * 2
        if (count === 0 || tile.bounds[first] >= high || tile.bounds[first + 2 * count - 1] <= low) continue
        place[u] = origin[u] + (i + 0.5) * pitch[u]
        section.begin(cell, place, axis)
        for (let k = 0; k < count; k++) {
          const from = Math.max(low, tile.bounds[first + 2 * k]), to = Math.min(high, tile.bounds[first + 2 * k + 1])
          if (from > to) continue
          const bound = section.least(from - base, to - base, 0, this.limit, width) - cell.error
          if (bound >= this.limit) continue
          this.certified = Math.min(this.certified, bound)
          if (section.value < this.value) {
            this.value = section.value
            this.time = cell.middle + section.time
            this.radius = section.radiusAt(section.place, section.time)
            this.height = section.heightAt(section.place, section.time)
            this.point[u] = place[u]
            this.point[v] = place[v]
            this.point[axis] = middle + section.place
            this.limit = Math.min(this.limit, this.value - width)
            if (this.value < -grossDepth) {
              this.certified = -cell.piece.inradius
              return false
            }
          }
        }
      }
    }
    return true
  }
}
