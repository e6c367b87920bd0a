import type { Cancellation } from '../../shared/cancellation.ts'
import { sharedMemory } from '../../shared/shared-memory.ts'

/** Places in the words that whoever asks shares with the threads: that nobody waits any more, the next piece of work to take, and pieces done of how many. */
export const Control = { cancelled: 0, next: 1, done: 2, total: 3 } as const

/** Control words of which nothing is said yet. */
export function newControl(): Int32Array {
  return new Int32Array(sharedMemory(16))
}

export function isCancelled(control: Int32Array): boolean {
  return Atomics.load(control, Control.cancelled) !== 0
}

/** The flag as the engine looks at it. */
export function cancellationOf(control: Int32Array): Cancellation {
  return { cancelled: () => isCancelled(control) }
}
