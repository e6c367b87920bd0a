import { neverCancelled, type Cancellation } from '../../../shared/cancellation.ts'
import { gridFrame, type StockBounds } from './grid-frame.ts'
import { StockGrid } from './stock-grid.ts'

/** A box that fills its bounds; partly filled once cancelled. */
export function boxStock(bounds: StockBounds, pitch: number, cancellation: Cancellation = neverCancelled): StockGrid {
  const grid = new StockGrid(gridFrame(bounds, pitch))
  for (const family of grid.families) {
    const length = bounds.max[family.axis] - bounds.min[family.axis]
    for (let j = 0; j < family.nv && !cancellation.cancelled(); j++) for (let i = 0; i < family.nu; i++) family.fill(i, j, [0, length])
    family.settle()
  }
  return grid
}

/** A cylinder about the Z axis of the part frame; partly filled once cancelled. */
export function cylinderStock(diameter: number, bottom: number, top: number, pitch: number, cancellation: Cancellation = neverCancelled): StockGrid {
  const radius = diameter / 2
  const grid = new StockGrid(gridFrame({ min: [-radius, -radius, bottom], max: [radius, radius, top] }, pitch))
  const { origin, pitch: step } = grid.frame
  for (const family of grid.families) {
    const { axis, u, v, nu, nv } = family
    for (let j = 0; j < nv && !cancellation.cancelled(); j++) {
      for (let i = 0; i < nu; i++) {
        const pu = origin[u] + (i + 0.5) * step[u], pv = origin[v] + (j + 0.5) * step[v]
        if (axis === 2) {
          if (pu * pu + pv * pv < radius * radius) family.fill(i, j, [0, top - bottom])
          continue
        }
        const across = u === 2 ? pv : pu, half = Math.sqrt(Math.max(0, radius * radius - across * across))
        if (half > 0) family.fill(i, j, [radius - half, radius + half])
      }
    }
    family.settle()
  }
  return grid
}
