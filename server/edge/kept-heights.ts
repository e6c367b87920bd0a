import { createHash } from 'node:crypto'
import { MotionContent, type HeightFigures, type SearchInput, type SurfaceSamples } from '../engine/service.ts'
import { packRecord, unpackRecord } from './packed-record.ts'
import type { ResultStore } from './result-store.ts'

const kind = 'heights'

/**
 * What stands over the samples of a mesh after a whole program, kept for the next time the same motions are measured over the same
 * samples. The key says all that heights depend on; limits, passes and the stock are not among it: they are laid over afterwards.
 */
export class KeptHeights {
  readonly #store: ResultStore
  readonly #key: string

  /** `engine`: what tells this engine from every other one. */
  constructor(store: ResultStore, engine: string, input: SearchInput, samples: SurfaceSamples) {
    this.#store = store
    this.#key = keyOf(engine, input, samples)
  }

  /** Writes the heights that are kept into `figures`; false where there are none, and nothing is written. */
  recall(figures: HeightFigures): boolean {
    const record = this.#store.read(kind, this.#key)
    if (record === undefined) return false
    const { value, gaveUp, motion } = unpackRecord(record).arrays, count = figures.value.length
    if (!(value instanceof Float64Array && gaveUp instanceof Float32Array && motion instanceof Int32Array)) return false
    if (value.length !== count || gaveUp.length !== count || motion.length !== count) return false
    figures.value.set(value)
    figures.gaveUp.set(gaveUp)
    figures.motion.set(motion)
    return true
  }

  /** Keeps heights that were measured to their end. */
  keep({ value, gaveUp, motion }: HeightFigures): void {
    if (!this.#store.has(kind, this.#key)) this.#store.write(kind, this.#key, packRecord({}, { value, gaveUp, motion }))
  }
}

function keyOf(engine: string, input: SearchInput, { count, points, normals, spacing, groups }: SurfaceSamples): string {
  const { kinematics, toolpath, assemblies, epsilon } = input, content = new MotionContent(input)
  const cutters = assemblies.map(assembly => assembly === undefined ? null : [assembly.gaugeLength, assembly.shapes[0]])
  const hash = createHash('sha256').update(JSON.stringify([engine, count, spacing, groups.starts, toolpath.axes, toolpath.count, kinematics, epsilon, cutters]))
  // The samples of a patch decide what its heights come out as; the areas do not.
  for (const array of [points, normals]) hash.update(new Uint8Array(array.buffer, array.byteOffset, array.byteLength))
  for (let i = 0; i < toolpath.count; i++) {
    const numbers = content.numbersOf(i, toolpath.tool[i] ?? 0, 0)
    hash.update(new Uint8Array(numbers.buffer, numbers.byteOffset, numbers.byteLength))
  }
  return hash.digest('hex')
}
