import type { Finding } from '../../shared/finding.ts'
import type { StockFigures, StockInput, StockSource } from '../engine/service.ts'
import type { StorePlace } from './result-store.ts'

// What the stock's thread and its owner say to each other. Each question carries a number; each is answered.

export type ToStockWorker =
  /** Fill the stock; what was followed before is forgotten. `keeping`: where that of earlier set-ups is kept, and the script that tells the engine. */
  | { readonly ask: 'open', readonly id: number, readonly source: StockSource, readonly control: Int32Array, readonly keeping: { readonly place: StorePlace, readonly script: string } | undefined }
  /** Run a program through it, of which the first `same` motions are those of the last one. */
  | { readonly ask: 'run', readonly id: number, readonly input: StockInput, readonly same: number, readonly control: Int32Array }
  /** The surface before a motion of the program that ran last, by a lattice of at most so many points. */
  | { readonly ask: 'surface', readonly id: number, readonly motion: number, readonly mostPoints: number }

export type FromStockWorker =
  | { readonly say: 'opened', readonly id: number, readonly isUsable: boolean, readonly isBrokenOff: boolean, readonly findings: readonly Finding[] }
  /** Worth a line of its own; no answer. */
  | { readonly say: 'log', readonly id: number, readonly message: string }
  | { readonly say: 'progress', readonly id: number, readonly done: number }
  | { readonly say: 'figures', readonly id: number, readonly figures: StockFigures }
  | { readonly say: 'surface', readonly id: number, readonly triangles: Float32Array | undefined }
  | { readonly say: 'failed', readonly id: number, readonly message: string }
