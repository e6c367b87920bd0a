import { NO_MOTION, type PlacedHeight, type ResultAnswer } from '../../shared/protocol/result-messages.ts'
import { heightEpsilon, heightReach, heightsOver } from '../engine/editor-service.ts'
import { asksForResult, type PlacedFigure } from '../engine/service.ts'
import type { Reading } from './reading.ts'
import type { SceneBuffers } from './scene-buffers.ts'

/** What a program leaves of the part, for the viewer. The large arrays are put into `buffers` under the keys it names. */
export async function describeResult(uri: string, reading: Reading, buffers: SceneBuffers): Promise<ResultAnswer> {
  const { scene: { scene } } = reading
  if (reading.notSearched !== undefined) return { absent: `What is left on the part is not measured: ${reading.notSearched}.` }
  if (reading.failure !== undefined) return { absent: `What is left on the part was not measured: ${reading.failure}` }
  if (reading.unmeasured !== undefined) return { absent: `What is left on the part was not measured, a fault of ours: ${reading.unmeasured}` }
  const { mesh } = await reading.scene.contact(), { measured } = reading
  if (mesh === undefined || scene.setup === undefined) return { absent: 'What is left on the part is not measured: its mesh cannot be used.' }
  if (!asksForResult(scene.setup)) return { absent: 'What is left on the part is measured where the sheet asks for it: state limits.leftover, or the stock.' }
  if (measured === undefined) return { waiting: true }
  const { samples, figures, result, standing } = measured
  const { heights, bounds } = heightsOver(figures, standing, heightEpsilon)
  const motions = Uint32Array.from(figures.motion, motion => motion < 0 ? NO_MOTION : motion)
  const key = `result/${reading.serial}`
  const keys = { points: `${key}/points`, heights: `${key}/heights`, bounds: `${key}/bounds`, motions: `${key}/motions` }
  buffers.keep(uri, { [keys.points]: Float32Array.from(samples.points), [keys.heights]: heights, [keys.bounds]: bounds, [keys.motions]: motions }, 'result')
  const { leftover, stockToLeave, gouge } = scene.setup.limits
  return {
    version: reading.version,
    samples: samples.count, spacing: samples.spacing, reach: heightReach,
    allowed: { leftover: leftover + stockToLeave, gouge: gouge - stockToLeave },
    area: result.area, reached: result.reached, finished: result.finished,
    leftover: placed(result.leftover), overcut: placed(result.overcut), isOvercutLeast: result.isOvercutLeast,
    ...keys,
  }
}

function placed(figure: PlacedFigure | undefined): PlacedHeight | undefined {
  return figure === undefined ? undefined : { value: figure.value, bound: figure.bound, point: figure.point }
}
