import type { Cancellation } from '../../shared/cancellation.ts'
import { Control, newControl } from './control-words.ts'

/** How often work that runs asks whether anyone still waits for it, and tells how far it is, ms. */
const watchPause = 15

export interface Wanted {
  readonly cancellation: Cancellation
  /** Ends the work at once, where the cancellation is only looked at now and then. */
  readonly signal?: AbortSignal
  /** Pieces of the work done, of how many, as the control words have it. */
  readonly onProgress?: (done: number, total: number) => void
}

/** Runs the work with control words on shared memory, and raises the flag there once nobody waits. */
export async function whileWanted<T>({ cancellation, signal, onProgress }: Wanted, work: (control: Int32Array) => Promise<T>): Promise<T> {
  const control = newControl()
  const raise = () => Atomics.store(control, Control.cancelled, 1)
  const watch = setInterval(() => {
    const total = Atomics.load(control, Control.total)
    if (cancellation.cancelled()) raise()
    else if (total > 0) onProgress?.(Atomics.load(control, Control.done), total)
  }, watchPause)
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
    }, watchPause)
  })
  try {
    return await Promise.race([work, givenUp])
  } finally {
    clearInterval(watch)
  }
}
