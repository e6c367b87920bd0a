import { neverCancelled } from '../../shared/cancellation.ts'
import type { SearchInput } from '../../server/engine/contact/search-motions.ts'
import { heightEpsilon } from '../../server/engine/geometry/tolerance.ts'
import { buildMeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { newHeightFigures, type HeightFigures } from '../../server/engine/result/height-figures.ts'
import { SWEPT_STRIDE, writeSweptBoxes } from '../../server/engine/result/cutting-motions.ts'
import { HeightSearch } from '../../server/engine/result/height-search.ts'
import { patchCount } from '../../server/engine/result/sample-groups.ts'
import { sampleSurface, type SurfaceSamples } from '../../server/engine/result/surface-samples.ts'

export interface Measured { readonly samples: SurfaceSamples, readonly figures: HeightFigures }

/** The heights that the motions leave over a mesh. */
export function measure(input: SearchInput, corners: Float64Array, spacing?: number): Measured {
  const samples = sampleSurface({ ...buildMeshTree(corners, false).tree }, false, spacing)
  return { samples, figures: heightsOver(input, samples) }
}

export function heightsOver(input: SearchInput, samples: SurfaceSamples): HeightFigures {
  const figures = newHeightFigures(samples.count, false)
  const job = { input: { ...input, epsilon: heightEpsilon }, samples, figures, boxes: sweptBoxes(input), first: 0, end: input.toolpath.count }
  const search = new HeightSearch(job, neverCancelled)
  for (let patch = 0; patch < patchCount(samples.groups); patch++) search.searchPatch(patch)
  return figures
}

export function sweptBoxes(input: SearchInput): Float32Array {
  const boxes = new Float32Array(input.toolpath.count * SWEPT_STRIDE)
  writeSweptBoxes(input, boxes, 0, input.toolpath.count, neverCancelled)
  return boxes
}

/** The samples whose place fits, as their numbers. */
export function samplesWhere({ count, points }: SurfaceSamples, fits: (x: number, y: number, z: number) => boolean): number[] {
  return Array.from({ length: count }, (_, i) => i).filter(i => fits(points[i * 3], points[i * 3 + 1], points[i * 3 + 2]))
}

/** Two triangles a quad, given by four corners counter-clockwise seen from outside. */
export function quads(...list: readonly (readonly (readonly [number, number, number])[])[]): Float64Array {
  return Float64Array.from(list.flatMap(([a, b, c, d]) => [a, b, c, a, c, d].flat()))
}
