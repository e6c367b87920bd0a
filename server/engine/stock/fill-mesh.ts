import { neverCancelled, type Cancellation } from '../../../shared/cancellation.ts'
import { gridFrame, roundPitch, type StockBounds } from './grid-frame.ts'
import { offsetStretches } from './offset-stretches.ts'
import { insideStretches, rayCrossings } from './ray-crossings.ts'
import { StockGrid } from './stock-grid.ts'

/** What a mesh encloses; 9 numbers a triangle, part frame, mm; partly filled once cancelled. */
export function meshStock(corners: Float64Array, pitch: number, cancellation: Cancellation = neverCancelled): StockGrid {
  const grid = new StockGrid(gridFrame(boundsOf(corners, 0), pitch))
  for (const family of grid.families) {
    const crossings = rayCrossings(family, grid.frame, corners, cancellation)
    for (let j = 0; j < family.nv && !cancellation.cancelled(); j++) for (let i = 0; i < family.nu; i++) family.fill(i, j, insideStretches(crossings, i + j * family.nu))
    family.settle()
  }
  return grid
}

/** What a mesh encloses, and all within `offset` of its surface; partly filled once cancelled. */
export function offsetStock(corners: Float64Array, offset: number, pitch: number, cancellation: Cancellation = neverCancelled): StockGrid {
  if (offset <= 0) return meshStock(corners, pitch, cancellation)
  const grid = new StockGrid(gridFrame(boundsOf(corners, offset), pitch))
  for (const family of grid.families) {
    const crossings = rayCrossings(family, grid.frame, corners, cancellation), grown = offsetStretches(family, grid.frame, corners, offset, cancellation)
    for (let j = 0; j < family.nv && !cancellation.cancelled(); j++) {
      for (let i = 0; i < family.nu; i++) {
        const ray = i + j * family.nu
        family.fill(i, j, joined([...insideStretches(crossings, ray), ...grown[ray] ?? []]))
      }
    }
    family.settle()
  }
  return grid
}

/** Rays held against triangles when a part is grown, at most: some ten seconds. */
const mostGrown = 3e8

/** The pitch at which growing a part by an offset is no more work than that. */
export function offsetPitch(corners: Float64Array, offset: number): number {
  if (offset <= 0) return 0
  let area = 0
  for (let at = 0; at < corners.length; at += 9) {
    const [x, y, z] = [0, 1, 2].map(k => {
      const a = corners[at + k], b = corners[at + 3 + k], c = corners[at + 6 + k]
      return Math.max(a, b, c) - Math.min(a, b, c) + 2 * offset
    })
    area += x * y + y * z + z * x
  }
  return roundPitch(Math.sqrt(area / mostGrown))
}

/** The box about points, three numbers each, wider by `more` on every side. */
export function boundsOf(corners: Float64Array, more: number): StockBounds {
  const min: [number, number, number] = [Infinity, Infinity, Infinity], max: [number, number, number] = [-Infinity, -Infinity, -Infinity]
  for (let i = 0; i < corners.length; i++) {
    const k = i % 3
    if (corners[i] < min[k]) min[k] = corners[i]
    if (corners[i] > max[k]) max[k] = corners[i]
  }
  return { min: [min[0] - more, min[1] - more, min[2] - more], max: [max[0] + more, max[1] + more, max[2] + more] }
}

/** Pairs in any order as rising pairs that do not touch. */
function joined(pairs: readonly number[]): number[] {
  const order = Array.from({ length: pairs.length >> 1 }, (_, k) => 2 * k).sort((a, b) => pairs[a] - pairs[b])
  const out: number[] = []
  for (const at of order) {
    if (out.length > 0 && pairs[at] <= out[out.length - 1]) out[out.length - 1] = Math.max(out[out.length - 1], pairs[at + 1])
    else out.push(pairs[at], pairs[at + 1])
  }
  return out
}
