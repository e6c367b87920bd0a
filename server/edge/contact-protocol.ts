import type { ReadProgram, BinaryFile, ContactFigures, FarFigure, MeshTree, PartMesh, Scene, SearchInput } from '../engine/service.ts'

// What the pool and its workers say to each other. Each question carries a number; each is answered.

/** What a worker is asked. */
export type ToWorker =
  | { readonly ask: 'open-mesh', readonly id: number, readonly file: BinaryFile, readonly scene: Scene }
  /** Take runs off the shared counter until none is left or the flag is up. */
  | {
    readonly ask: 'search', readonly id: number, readonly mesh: MeshTree, readonly input: SearchInput
    /** First motion and count of each run, in the order of their urgency: pairs. */
    readonly runs: Int32Array
    /** [next run to take, flag: no longer wanted]. */
    readonly control: Int32Array
  }
  | { readonly ask: 'farthest', readonly id: number, readonly mesh: MeshTree, readonly input: SearchInput, readonly tool: number, readonly component: number, readonly control: Int32Array }

/** What a worker says. */
export type FromWorker =
  | { readonly say: 'mesh', readonly id: number, readonly opened: OpenedMesh }
  | { readonly say: 'run', readonly id: number, readonly figures: ContactFigures }
  | { readonly say: 'searched', readonly id: number }
  | { readonly say: 'farthest', readonly id: number, readonly figure: FarFigure | undefined }
  | { readonly say: 'failed', readonly id: number, readonly message: string }

export interface OpenedMesh {
  readonly mesh?: PartMesh
  readonly findings: ReadProgram['findings']
}

/** Places in the control words. */
export const Control = { next: 0, cancelled: 1 } as const
