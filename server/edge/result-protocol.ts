import type { Stock } from '../../shared/setup.ts'
import type { HeightFigures, HeightJob, MeshTree, ResultInput, SearchInput, SurfaceResult, SurfaceSamples } from '../engine/service.ts'
import type { StorePlace } from './result-store.ts'

// What the result pool and its threads say to each other. Large arrays lie on shared memory and are filled where they lie.

/** Where heights are kept, and whose bundle says which engine measures. */
export interface HeightKeeping { readonly place: StorePlace, readonly script: string }

/** The heights of a whole program: to be filled from what is kept, or to be kept. */
export interface WholeHeights {
  readonly input: SearchInput
  readonly samples: SurfaceSamples
  readonly figures: HeightFigures
  readonly keeping: HeightKeeping
}

/** `control`: words on shared memory, see `Control`. */
export type ResultQuestion = { readonly id: number } & (
  | { readonly ask: 'sample', readonly mesh: MeshTree }
  | { readonly ask: 'recall', readonly whole: WholeHeights }
  | { readonly ask: 'keep', readonly whole: WholeHeights }
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
  /** Whether the heights were kept. */
  readonly isKept?: boolean
  /** Why nothing can be kept, where that is so. */
  readonly unkept?: string
  readonly result?: SurfaceResult
  /** What stands over each sample, mm; with the result. */
  readonly standing?: Float64Array
}
