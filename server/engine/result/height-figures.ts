import { heightReach } from '../geometry/tolerance.ts'

/**
 * What stands over each sample of the mesh, or how deep it was cut: the lowest place on the sample's normal
 * that the cutter reaches in all feed moves, mm; above 0 material is left, below 0 it is cut too deep.
 */
export interface HeightFigures {
  /** As attained; `heightReach` where no pass comes that near. Never below −heightReach: deeper is not measured. */
  readonly value: Float64Array
  /** The true height is not below this where the search was given up; Infinity elsewhere. */
  readonly gaveUp: Float32Array
  /** The motion that came lowest, or -1 where none came within reach. */
  readonly motion: Int32Array
}

/** Nothing cut yet. `share`: on shared memory, so that threads write into it. */
export function newHeightFigures(count: number, share: boolean): HeightFigures {
  const bytes = (size: number) => share ? new SharedArrayBuffer(size) : new ArrayBuffer(size)
  return {
    value: new Float64Array(bytes(count * 8)).fill(heightReach),
    gaveUp: new Float32Array(bytes(count * 4)).fill(Infinity),
    motion: new Int32Array(bytes(count * 4)).fill(-1),
  }
}

/** The true height is not below this, mm. */
export function certifiedHeight(figures: HeightFigures, sample: number, epsilon: number): number {
  return Math.min(figures.value[sample] - epsilon, figures.gaveUp[sample])
}
