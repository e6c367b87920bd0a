import type { Stock } from '../../shared/setup.ts'
import type { HeightFigures, HeightJob, MeshTree, ResultInput, SearchInput, SurfaceResult, SurfaceSamples } from '../engine/service.ts'

// What the result pool and its threads say to each other. Large arrays lie on shared memory and are filled where they lie.

/** `control`: words on shared memory, see `ResultControl`. */
export type ResultQuestion = { readonly id: number } & (
  | { readonly ask: 'sample', readonly mesh: MeshTree }
  | { readonly ask: 'sweep', readonly input: SearchInput, readonly boxes: Float32Array, readonly first: number, readonly end: number, readonly control: Int32Array }
  /** Take patches off the shared counter until none is left or the flag is up. */
  | { readonly ask: 'measure', readonly job: HeightJob, readonly patches: Int32Array, readonly control: Int32Array }
  | {
    readonly ask: 'conclude', readonly input: ResultInput, readonly samples: SurfaceSamples, readonly figures: HeightFigures
    readonly stock: Stock | undefined, readonly part: MeshTree
  }
)

export interface ResultAnswer {
  readonly id: number
  /** A fault of ours, in a sentence. */
  readonly failure?: string
  readonly samples?: SurfaceSamples
  readonly result?: SurfaceResult
  /** What stands over each sample, mm; with the result. */
  readonly standing?: Float64Array
}

/** Places in the control words: the next patch to take, patches done of how many, and that nobody waits any more. */
export const ResultControl = { next: 0, done: 1, total: 2, cancelled: 3 } as const
