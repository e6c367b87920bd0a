import type { GridFrame } from './grid-frame.ts'
import { TILE_SIDE, type RayFamily } from './ray-family.ts'
import type { SweepCell } from './sweep-cell.ts'

/** Who wants to see the tiles that a sweep may touch. */
export interface TileVisitor {
  /** Nothing farther than this from the piece counts, mm; may fall during the walk. */
  limit: number
  /** Rays [i0, i1) × [j0, j1) of the family lie in the tile and in the sweep's box. False ends the walk. */
  visit(family: RayFamily, tile: number, i0: number, i1: number, j0: number, j1: number): boolean
}

/** Goes down the pyramid of a family to the tiles whose material a sweep may come near to. */
export class GridWalk {
  readonly #frame: GridFrame
  readonly #stack = new Int32Array(4 * 32)

  constructor(frame: GridFrame) {
    this.#frame = frame
  }

  /** False where the visitor ended it. */
  walk(family: RayFamily, cell: SweepCell, visitor: TileVisitor): boolean {
    const { u, v, axis, sizes } = family, { origin, pitch } = this.#frame, stack = this.#stack
    // The rays in the sweep's box.
    const i0 = Math.max(0, Math.ceil((cell.low[u] - origin[u]) / pitch[u] - 0.5)), i1 = Math.min(family.nu, Math.floor((cell.high[u] - origin[u]) / pitch[u] - 0.5) + 1)
    const j0 = Math.max(0, Math.ceil((cell.low[v] - origin[v]) / pitch[v] - 0.5)), j1 = Math.min(family.nv, Math.floor((cell.high[v] - origin[v]) / pitch[v] - 0.5) + 1)
    if (i0 >= i1 || j0 >= j1) return true
    const low = cell.low[axis] - origin[axis], high = cell.high[axis] - origin[axis]
    let level = sizes.length - 1, top = 0
    stack[0] = level
    stack[1] = stack[2] = 0
    top = 3
    while (top > 0) {
      top -= 3
      level = stack[top]
      const i = stack[top + 1], j = stack[top + 2], node = i + j * sizes[level][0]
      const side = TILE_SIDE << level
      const a0 = Math.max(i0, i * side), a1 = Math.min(i1, (i + 1) * side), b0 = Math.max(j0, j * side), b1 = Math.min(j1, (j + 1) * side)
      if (a0 >= a1 || b0 >= b1) continue
      const from = Math.max(low, family.lows[level][node]), to = Math.min(high, family.highs[level][node])
      if (from > to) continue
      if (this.#isBeyond(family, cell, a0, a1, b0, b1, from, to, visitor.limit)) continue
      if (level === 0) {
        if (!visitor.visit(family, node, a0, a1, b0, b1)) return false
        continue
      }
      const [width, height] = sizes[level - 1]
      for (let b = 2 * j; b < Math.min(2 * j + 2, height); b++) {
        for (let a = 2 * i; a < Math.min(2 * i + 2, width); a++) {
          stack[top] = level - 1
          stack[top + 1] = a
          stack[top + 2] = b
          top += 3
        }
      }
    }
    return true
  }

  /**
   * Whether all material that these rays can have lies farther than the limit from the piece: the
   * tangent of its distance in the middle of the box, less what box, motion and turning can change.
   */
  #isBeyond(family: RayFamily, cell: SweepCell, a0: number, a1: number, b0: number, b1: number, from: number, to: number, limit: number): boolean {
    const { axis, u, v } = family, { origin, pitch } = this.#frame
    const cu = origin[u] + (a0 + a1) / 2 * pitch[u], hu = (a1 - 1 - a0) / 2 * pitch[u]
    const cv = origin[v] + (b0 + b1) / 2 * pitch[v], hv = (b1 - 1 - b0) / 2 * pitch[v]
    const cw = origin[axis] + (from + to) / 2, hw = (to - from) / 2
    const x = axis === 0 ? cw : axis === 1 ? cv : cu, y = axis === 0 ? cu : axis === 1 ? cw : cv, z = axis === 0 ? cv : axis === 1 ? cu : cw
    const hx = axis === 0 ? hw : axis === 1 ? hv : hu, hy = axis === 0 ? hu : axis === 1 ? hw : hv, hz = axis === 0 ? hv : axis === 1 ? hu : hw
    const ux = x - cell.px, uy = y - cell.py, uz = z - cell.pz
    const h = ux * cell.ax + uy * cell.ay + uz * cell.az
    const rx = ux - h * cell.ax, ry = uy - h * cell.ay, rz = uz - h * cell.az, r = Math.sqrt(rx * rx + ry * ry + rz * rz)
    const piece = cell.piece, f = piece.at(r, h), gr = r > 1e-12 ? piece.gr / r : 0
    const gx = gr * rx + piece.gh * cell.ax, gy = gr * ry + piece.gh * cell.ay, gz = gr * rz + piece.gh * cell.az
    const wx = cell.vx + cell.wy * uz - cell.wz * uy, wy = cell.vy + cell.wz * ux - cell.wx * uz, wz = cell.vz + cell.wx * uy - cell.wy * ux
    const span = Math.abs(gx) * hx + Math.abs(gy) * hy + Math.abs(gz) * hz
    const going = Math.abs(gx * wx + gy * wy + gz * wz) * cell.half
    if (cell.turn === 0) return f - span - going - cell.curve > limit
    const corner = Math.sqrt(hx * hx + hy * hy + hz * hz), far = Math.sqrt(ux * ux + uy * uy + uz * uz) + corner + Math.sqrt(cell.vx * cell.vx + cell.vy * cell.vy + cell.vz * cell.vz) * cell.half
    return f - span - going - cell.turn * cell.half * corner - cell.curve - cell.spin * far > limit
  }
}
