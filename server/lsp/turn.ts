import type { Status } from '../../shared/protocol/server-messages.ts'
import type { Reading } from './reading.ts'

/** One text of an open program while it is checked. The next edit makes it stale; what is stale ends, and never gets to speak. */
export interface Turn {
  /** Ends what runs for it at once. */
  readonly signal: AbortSignal
  readonly isStale: () => boolean
  /** Sends all that is known of the reading, unless it is stale. */
  readonly publish: (reading: Reading) => void
  /** Tells how far the work is, in blocks, unless it is stale. */
  readonly tell: (phase: Status['phase'], done: number, total: number, message: string) => void
  /** 0-based line at which the user looks. */
  readonly lookedAt: () => number
}
