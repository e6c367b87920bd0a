import { Worker } from 'node:worker_threads'
import { buildPart, type BuildParts, type TreePart } from '../engine/service.ts'
import type { ToWorker } from './contact-protocol.ts'
import { reasonOf } from './reason-of.ts'

/** What a part is waited for at least that another thread has in hand, and how many times as long as the slowest here took, ms. */
const leastPatience = 1000, patience = 4

/** Takes parts off the shared counter `next` and builds them until none is left; answers what the slowest took, ms. */
export function takeParts(parts: readonly TreePart[], next: Int32Array): number {
  let slowest = 0
  for (;;) {
    const part = parts[Atomics.add(next, 0, 1)]
    if (part === undefined) return slowest
    const before = performance.now()
    buildPart(part)
    slowest = Math.max(slowest, performance.now() - before)
  }
}

/**
 * Builds the parts of a tree with so many threads beside this one, which is blocked meanwhile. What a thread that dies had in hand
 * is built here, and so is all of it where there is no memory to share. `script`: the bundled thread.
 */
export function buildWith(helpers: number, script: string, log: (sentence: string) => void): BuildParts {
  return parts => {
    const wanted = typeof SharedArrayBuffer === 'undefined' ? 0 : Math.min(helpers, parts.length - 1)
    if (wanted === 0) return parts.forEach(buildPart)
    const next = new Int32Array(new SharedArrayBuffer(4)), threads: Worker[] = []
    try {
      while (threads.length < wanted) threads.push(new Worker(script))
    } catch (error) {
      log(`No further thread could be started (${reasonOf(error)}); the mesh is made ready with fewer.`)
    }
    const question: ToWorker = { ask: 'build-parts', id: 0, parts, next }
    for (const thread of threads) {
      // Seen by what it leaves unbuilt.
      thread.on('error', () => undefined)
      thread.postMessage(question)
    }
    const longest = Math.max(leastPatience, patience * takeParts(parts, next))
    for (const part of parts) {
      if (Atomics.wait(part.built, 0, 0, longest) === 'timed-out') buildPart(part)
    }
    for (const thread of threads) void thread.terminate()
  }
}
