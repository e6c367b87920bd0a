import { neverCancelled } from '../../shared/cancellation.ts'
import type { Finding } from '../../shared/finding.ts'
import { patchCount } from '../../server/engine/result/sample-groups.ts'
import {
  concludeHeights, HeightSearch, newHeightFigures, resultFindings, resultInputOf, sampleSurface, standingOver, stockCover, SWEPT_STRIDE, writeSweptBoxes,
  type HeightFigures, type MeshTree, type ReadProgram, type Scene, type SurfaceResult, type SurfaceSamples,
} from '../../server/engine/service.ts'

export interface MeasuredHere { readonly samples: SurfaceSamples, readonly figures: HeightFigures, readonly result: SurfaceResult }

/** What a program leaves of the part, measured in this thread; undefined where the sheet does not ask for it. */
export function measureHere(program: ReadProgram, scene: Scene, mesh: MeshTree, spacing?: number): MeasuredHere | undefined {
  const input = resultInputOf(program, scene)
  if (input === undefined) return undefined
  const samples = sampleSurface(mesh, false, spacing), figures = newHeightFigures(samples.count, false)
  const count = program.toolpath.count, boxes = new Float32Array(count * SWEPT_STRIDE)
  writeSweptBoxes(input, boxes, 0, count, neverCancelled)
  const search = new HeightSearch({ input, samples, figures, boxes, first: 0, end: count }, neverCancelled)
  for (let patch = 0; patch < patchCount(samples.groups); patch++) search.searchPatch(patch)
  return { samples, figures, result: concludeHeights(input, samples, figures, standingOver(figures, stockCover(scene.setup?.stock, samples, mesh))) }
}

/** The findings about it; none where nobody asks for any. */
export function findingsOfSurface(program: ReadProgram, scene: Scene, mesh: MeshTree, spacing?: number): Finding[] {
  const measured = measureHere(program, scene, mesh, spacing)
  return measured === undefined ? [] : resultFindings(program, scene, measured.result)
}
