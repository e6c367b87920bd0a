import { components, type Component } from '../../../shared/finding.ts'
import { PieceDistance } from '../geometry/piece-distance.ts'
import type { Assembly } from './assembly.ts'

/**
 * Signed distance of one point of the part to a component of a tool at one pose, and how it changes: the same figure
 * the search minimises, for a place it has found.
 */
export class ComponentDistance {
  /** Gradient by the point, part frame; by the tool point it is the opposite. */
  gx = 0; gy = 0; gz = 0
  /** Change of the distance with the axis, times this, along the way from tool point to point: see `turnGradient`. */
  #turning = 0
  readonly #pieces: readonly (readonly PieceDistance[])[]

  constructor(assembly: Assembly) {
    this.#pieces = assembly.shapes.map(shape => shape.pieces.map(piece => new PieceDistance(piece)))
  }

  /**
   * Distance of a component to the point that lies at (x, y, z) from the tool point, the unit axis being (ax, ay, az);
   * mm, part frame. Infinity where the tool has no such component.
   */
  at(component: Component, x: number, y: number, z: number, ax: number, ay: number, az: number): number {
    const h = x * ax + y * ay + z * az
    const rx = x - h * ax, ry = y - h * ay, rz = z - h * az
    const r = Math.sqrt(rx * rx + ry * ry + rz * rz)
    let least = Infinity, gr = 0, gh = 0
    for (const piece of this.#pieces[components.indexOf(component)]) {
      const value = piece.at(r, h)
      if (value >= least) continue
      least = value
      gr = piece.gr
      gh = piece.gh
    }
    const out = r > 1e-12 ? gr / r : 0
    this.gx = out * rx + gh * ax
    this.gy = out * ry + gh * ay
    this.gz = out * rz + gh * az
    this.#turning = gh - out * h
    return least
  }

  /**
   * Gradient of the last distance by a small turn of the axis about the tool point, right-hand rule, part frame. With
   * y the point seen from the tool point, h = y · a and r² = |y|² − h²: ∂f/∂a = (f_h − f_r h/r) y, and a turn ω changes a by ω × a.
   */
  turnGradient(x: number, y: number, z: number, ax: number, ay: number, az: number, out: Float64Array): void {
    const k = this.#turning
    out[0] = k * (ay * z - az * y)
    out[1] = k * (az * x - ax * z)
    out[2] = k * (ax * y - ay * x)
  }
}
