import { neverCancelled, type Cancellation } from '../../../shared/cancellation.ts'
import { placedPoints, type Affine } from '../mesh/affine.ts'
import { boundsOf, meshStock } from './fill-mesh.ts'
import { gridFrame, pitchFor } from './grid-frame.ts'
import { StockGrid } from './stock-grid.ts'
import { stockSurface, stretches } from './stock-surface.ts'

/** Lattice points of the surface by which a stock is turned aslant. */
const mostPoints = 6e7

/**
 * A stock in another part frame, into which `place` takes points of its own. Turned by right angles its rays
 * are taken over as they are, each by the nearest; turned aslant it is filled anew from its surface. Partly filled once cancelled.
 */
export function stockInFrame(old: StockGrid, place: Affine, pitch: number | undefined, cancellation: Cancellation = neverCancelled): StockGrid {
  const axes = rightAngles(place)
  if (axes === undefined) {
    const corners = placedPoints(Float64Array.from(stockSurface(old, mostPoints)), place)
    return meshStock(corners, pitch ?? pitchFor(boundsOf(corners, 0)), cancellation)
  }
  const { frame } = old
  const far = frame.origin.map((value, k) => value + frame.counts[k] * frame.pitch[k])
  const bounds = boundsOf(placedPoints(Float64Array.from([...frame.origin, ...far]), place), 0)
  const grid = new StockGrid(gridFrame(bounds, pitch ?? pitchFor(bounds)))
  for (const family of grid.families) {
    // The new ray's axis and its two neighbours, each along an axis of the old frame or against it.
    const along = axes[family.axis], source = old.families[along.axis]
    const indexOf = (value: number, axis: number) => {
      const { axis: from, sign } = axes[axis]
      const there = sign * (value - place[4 * axis + 3])
      return Math.min(frame.counts[from] - 1, Math.max(0, Math.floor((there - frame.origin[from]) / frame.pitch[from])))
    }
    const origin = grid.frame.origin[family.axis], shift = place[4 * family.axis + 3] + along.sign * frame.origin[along.axis] - origin
    for (let j = 0; j < family.nv && !cancellation.cancelled(); j++) {
      for (let i = 0; i < family.nu; i++) {
        const pu = grid.frame.origin[family.u] + (i + 0.5) * grid.frame.pitch[family.u], pv = grid.frame.origin[family.v] + (j + 0.5) * grid.frame.pitch[family.v]
        const at: [number, number, number] = [0, 0, 0]
        at[axes[family.u].axis] = indexOf(pu, family.u)
        at[axes[family.v].axis] = indexOf(pv, family.v)
        const ends = [...stretches(source, at[source.u], at[source.v])].map(end => along.sign * end + shift)
        family.fill(i, j, along.sign > 0 ? ends : ends.reverse())
      }
    }
    family.settle()
  }
  return grid
}

/** For each new axis the old one that it runs along, and the sense; undefined where a turn is not by right angles. */
function rightAngles(place: Affine): readonly { readonly axis: number, readonly sign: number }[] | undefined {
  const rows = [0, 1, 2].map(row => {
    const axis = [0, 1, 2].findIndex(k => Math.abs(Math.abs(place[4 * row + k]) - 1) < 1e-12)
    return { axis, sign: Math.sign(place[4 * row + axis]) }
  })
  return rows.some(({ axis }) => axis < 0) ? undefined : rows
}
