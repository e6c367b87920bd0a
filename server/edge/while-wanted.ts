import type { Cancellation } from '../../shared/cancellation.ts'
import { Control } from './contact-protocol.ts'
import { sharedMemory } from './share-toolpath.ts'

/** How often work that runs asks whether anyone still waits for it, ms. */
const cancellationPause = 15

export interface Wanted {
  readonly cancellation: Cancellation
  /** Ends the work at once, where the cancellation is only looked at now and then. */
  readonly signal?: AbortSignal
}

/** Runs the work with control words on shared memory, and raises the flag there once nobody waits. */
export async function whileWanted<T>({ cancellation, signal }: Wanted, work: (control: Int32Array) => Promise<T>): Promise<T> {
  const control = new Int32Array(sharedMemory(8))
  const raise = () => Atomics.store(control, Control.cancelled, 1)
  const watch = setInterval(() => {
    if (cancellation.cancelled()) raise()
  }, cancellationPause)
  signal?.addEventListener('abort', raise)
  try {
    return await work(control)
  } catch (error) {
    // One thread failed: the others need not go on.
    raise()
    throw error
  } finally {
    clearInterval(watch)
    signal?.removeEventListener('abort', raise)
  }
}

/** What comes of the work; undefined as soon as nobody waits for it, though it goes on. */
export async function unlessGivenUp<T>(work: Promise<T>, cancellation: Cancellation): Promise<T | undefined> {
  let watch: NodeJS.Timeout | undefined
  const givenUp = new Promise<undefined>(resolve => {
    watch = setInterval(() => {
      if (cancellation.cancelled()) resolve(undefined)
    }, cancellationPause)
  })
  try {
    return await Promise.race([work, givenUp])
  } finally {
    clearInterval(watch)
  }
}
