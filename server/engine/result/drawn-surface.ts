import type { MeshTree } from '../mesh/mesh-tree.ts'
import { weldCorners } from '../mesh/weld-corners.ts'
import { splitFacet } from './split-facet.ts'
import type { SurfaceSamples } from './surface-samples.ts'

/** The mesh as triangles that are small enough to be coloured by the samples. */
export interface DrawnSurface {
  /** 9 numbers a triangle, mm, part frame. */
  readonly positions: Float32Array
  /** Sample of each corner; one for all three where the triangle is a part of a divided facet. */
  readonly corners: Uint32Array
}

/** Undivided facets as they are, with their vertices' samples; divided ones as their parts, each with its own. */
export function drawnSurface({ corners, triangleCount }: MeshTree, { spacing, places, count }: SurfaceSamples): DrawnSurface {
  const { vertexOf, vertexCount } = weldCorners(corners)
  const most = triangleCount + count - vertexCount
  const positions = new Float32Array(most * 9), samples = new Uint32Array(most * 3)
  let drawn = 0, part = vertexCount
  for (let t = 0; t < triangleCount; t++) {
    const isDivided = splitFacet(corners, t * 9, spacing, (...own) => {
      positions.set(own, drawn * 9)
      samples.fill(places[part], drawn * 3, drawn * 3 + 3)
      drawn++
      part++
    })
    if (isDivided) continue
    positions.set(corners.subarray(t * 9, t * 9 + 9), drawn * 9)
    for (let k = 0; k < 3; k++) samples[drawn * 3 + k] = places[vertexOf[t * 3 + k]]
    drawn++
  }
  return { positions: positions.subarray(0, drawn * 9), corners: samples.subarray(0, drawn * 3) }
}
