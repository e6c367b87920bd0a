import type { BinaryFile, ContactFigures, FarFigure, MendOptions, MendReport, Obstacle, ObstacleFile, PartMesh, ReadProgram, Scene, SceneMeshes, SearchInput, TreePart } from '../engine/service.ts'
import type { MotionRun } from './deal-runs.ts'
import type { StorePlace } from './result-store.ts'

// What the pool and its workers say to each other. Each question carries a number; each is answered.

/** Where results are kept, and what tells the meshes of this search from others. */
export interface Keeping {
  readonly place: StorePlace
  /** Path of the bundled thread: its code names the engine. */
  readonly script: string
  /** See `KeptMeshes.identityOf`; empty while the meshes are still to be read. */
  readonly meshes: string
}

/** Meshes and motions of a search. */
interface Searched {
  readonly id: number
  readonly meshes: SceneMeshes
  readonly input: SearchInput
  /** [next run to take, flag: no longer wanted]. */
  readonly control: Int32Array
  /** Absent where nothing is kept. */
  readonly keeping?: Keeping
}

/** What a worker is asked. */
export type ToWorker =
  | {
    readonly ask: 'open-meshes', readonly id: number, readonly part: BinaryFile, readonly others: readonly ObstacleFile[], readonly scene: Scene
    readonly keeping?: Keeping
    /** Bytes that meshes may take; absent: as many as there are. */
    readonly memory?: number
    /** Threads that may help with large meshes, and the bundled thread they run. */
    readonly helpers: number
    readonly script: string
  }
  /** Build parts of a tree, taken off the shared counter, until none is left. */
  | { readonly ask: 'build-parts', readonly id: number, readonly parts: readonly TreePart[], readonly next: Int32Array }
  /** Tell the figures that are kept of these motions, and then which motions have none. */
  | Searched & { readonly ask: 'recall', readonly runs: readonly MotionRun[] }
  /** Keep these figures for the next time. */
  | Searched & { readonly ask: 'keep', readonly figures: ContactFigures }
  /** Take runs off the shared counter until none is left or the flag is up: first motion and count of each, the most urgent first. */
  | Searched & { readonly ask: 'search', readonly runs: Int32Array }
  | Searched & { readonly ask: 'farthest', readonly tool: number, readonly component: number }
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
  | { readonly say: 'recalled', readonly id: number, readonly missing: readonly MotionRun[] }
  /** Searched, or kept. */
  | { readonly say: 'done', readonly id: number }
  | { readonly say: 'farthest', readonly id: number, readonly figure: FarFigure | undefined }
  | { readonly say: 'progress', readonly id: number, readonly done: number, readonly total: number }
  /** Undefined once nobody waited any more. */
  | { readonly say: 'mended', readonly id: number, readonly report: MendReport | undefined }
  | { readonly say: 'failed', readonly id: number, readonly message: string }
  /** News for the log, in the course of an answer. */
  | { readonly say: 'log', readonly id: number, readonly message: string }

export interface OpenedMeshes {
  /** The part's; absent where it cannot be used, and then nothing is searched. */
  readonly mesh?: PartMesh
  readonly obstacles: readonly Obstacle[]
  readonly findings: ReadProgram['findings']
  /** Names the meshes by their content. */
  readonly identity: string
}
