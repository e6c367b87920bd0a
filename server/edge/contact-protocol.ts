import type { BinaryFile, ContactFigures, FarFigure, MendOptions, MendReport, Obstacle, ObstacleFile, PartMesh, ReadProgram, Scene, SceneMeshes, SearchInput } from '../engine/service.ts'

// What the pool and its workers say to each other. Each question carries a number; each is answered.

/** What a worker is asked. */
export type ToWorker =
  | { readonly ask: 'open-meshes', readonly id: number, readonly part: BinaryFile, readonly others: readonly ObstacleFile[], readonly scene: Scene }
  /** Take runs off the shared counter until none is left or the flag is up. */
  | {
    readonly ask: 'search', readonly id: number, readonly meshes: SceneMeshes, readonly input: SearchInput
    /** First motion and count of each run, in the order of their urgency: pairs. */
    readonly runs: Int32Array
    /** [next run to take, flag: no longer wanted]. */
    readonly control: Int32Array
  }
  | { readonly ask: 'farthest', readonly id: number, readonly meshes: SceneMeshes, readonly input: SearchInput, readonly tool: number, readonly component: number, readonly control: Int32Array }
  | {
    readonly ask: 'mend', readonly id: number, readonly meshes: SceneMeshes, readonly scene: Scene, readonly control: Int32Array
    readonly program: MendText, readonly figures: ContactFigures, readonly options: MendOptions
  }

/** A program to be mended, and where the programs it calls are looked for. */
export interface MendText { readonly path: string, readonly text: string, readonly sheetPath: string | undefined }

/** What a worker says. */
export type FromWorker =
  | { readonly say: 'meshes', readonly id: number, readonly opened: OpenedMeshes }
  | { readonly say: 'run', readonly id: number, readonly figures: ContactFigures }
  | { readonly say: 'searched', readonly id: number }
  | { readonly say: 'farthest', readonly id: number, readonly figure: FarFigure | undefined }
  | { readonly say: 'progress', readonly id: number, readonly done: number, readonly total: number }
  /** Undefined once nobody waited any more. */
  | { readonly say: 'mended', readonly id: number, readonly report: MendReport | undefined }
  | { readonly say: 'failed', readonly id: number, readonly message: string }

export interface OpenedMeshes {
  /** The part's; absent where it cannot be used, and then nothing is searched. */
  readonly mesh?: PartMesh
  readonly obstacles: readonly Obstacle[]
  readonly findings: ReadProgram['findings']
}

/** Places in the control words. */
export const Control = { next: 0, cancelled: 1 } as const
