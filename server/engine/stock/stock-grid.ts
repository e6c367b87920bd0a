import { RayFamily, type RayTile } from './ray-family.ts'
import type { GridFrame } from './grid-frame.ts'

/** The stock as it stands at some moment; holds what it is made of without copying it. */
export type StockSnapshot = readonly (readonly (RayTile | undefined)[])[]

/** The stock as the stretches of material on three families of rays along X, Y and Z of the part frame. */
export class StockGrid {
  readonly frame: GridFrame
  readonly families: readonly RayFamily[]

  constructor(frame: GridFrame) {
    this.frame = frame
    this.families = [0, 1, 2].map(axis => new RayFamily(frame, axis))
  }

  snapshot(): StockSnapshot {
    return this.families.map(family => family.snapshot())
  }

  restore(snapshot: StockSnapshot): void {
    this.families.forEach((family, axis) => { family.restore(snapshot[axis]) })
  }

  /** mm³; the mean of what the three families say. */
  volume(): number {
    return this.families.reduce((sum, family) => sum + family.volume(), 0) / 3
  }

  /** Bytes of all rays. */
  bytes(): number {
    return this.families.reduce((sum, family) => sum + family.bytes(), 0)
  }
}
