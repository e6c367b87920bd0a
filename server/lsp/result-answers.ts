import { NO_LINE, type PlacedHeight, type ResultAnswer } from '../../shared/protocol/server-messages.ts'
import { certifiedHeight, drawnSurface, heightEpsilon, heightReach, type DrawnSurface } from '../engine/editor-service.ts'
import { asksForResult, type MeshTree, type PlacedFigure, type SurfaceSamples } from '../engine/service.ts'
import type { Reading } from './reading.ts'
import type { SceneBuffers } from './scene-buffers.ts'

/** What a program leaves of the part, for the viewer. The large arrays are put into `buffers` under the keys it names. */
export async function describeResult(uri: string, reading: Reading, buffers: SceneBuffers): Promise<ResultAnswer> {
  const { program, scene: { scene } } = reading
  if (reading.notSearched !== undefined) return { absent: `What is left on the part is not measured: ${reading.notSearched}.` }
  if (reading.failure !== undefined) return { absent: `What is left on the part was not measured: ${reading.failure}` }
  const { mesh, key: part } = await reading.scene.contact()
  const { measured } = reading
  if (reading.unmeasured !== undefined) return { absent: `What is left on the part was not measured, a fault of ours: ${reading.unmeasured}` }
  if (mesh === undefined || scene.setup === undefined) return { absent: 'What is left on the part is not measured: its mesh cannot be used.' }
  if (!asksForResult(scene.setup)) return { absent: 'What is left on the part is measured where the sheet asks for it: state limits.leftover, or the stock.' }
  if (measured === undefined) return { waiting: true }
  const { samples, figures, result } = measured
  const { positions, corners } = drawnOf(mesh, samples)
  const heights = new Float32Array(samples.count), bounds = new Float32Array(samples.count), lines = new Uint32Array(samples.count)
  for (let i = 0; i < samples.count; i++) {
    const high = figures.value[i] ?? NaN, low = certifiedHeight(figures, i, heightEpsilon), motion = figures.motion[i] ?? -1
    heights[i] = motion < 0 ? NaN : (high + low) / 2
    bounds[i] = (high - low) / 2
    lines[i] = motion < 0 ? NO_LINE : program.toolpath.line[motion] ?? NO_LINE
  }
  const key = `result/${reading.serial}`
  const keys = { positions: `${part}/drawn`, corners: `${part}/samples`, heights: `${key}/heights`, bounds: `${key}/bounds`, lines: `${key}/lines` }
  buffers.keep(uri, { [keys.positions]: positions, [keys.corners]: corners, [keys.heights]: heights, [keys.bounds]: bounds, [keys.lines]: lines }, 'result')
  const { leftover, stockToLeave, gouge } = scene.setup.limits
  return {
    version: reading.version,
    samples: samples.count, spacing: samples.spacing, reach: heightReach,
    allowed: { leftover: leftover + stockToLeave, gouge },
    area: result.area, reached: result.reached, finished: result.finished,
    leftover: placed(result.leftover), overcut: placed(result.overcut),
    triangles: corners.length / 3,
    ...keys,
  }
}

function placed(figure: PlacedFigure | undefined): PlacedHeight | undefined {
  return figure === undefined ? undefined : { value: figure.value, bound: figure.bound, point: figure.point }
}

const drawn = new WeakMap<SurfaceSamples, DrawnSurface>()

/** The surface to draw, made once for the samples of a mesh. */
function drawnOf(mesh: MeshTree, samples: SurfaceSamples): DrawnSurface {
  const known = drawn.get(samples) ?? drawnSurface(mesh, samples)
  drawn.set(samples, known)
  return known
}
