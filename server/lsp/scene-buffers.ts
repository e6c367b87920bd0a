import { SLICE_BYTES, type SameBytes, type SceneBufferSlice } from '../../shared/protocol/server-messages.ts'
import { sameBytes, type SceneArray } from './array-difference.ts'

/** An array as it is, or how to make it when it is first asked for: not every viewer wants every one. */
export type LargeArray = SceneArray | (() => SceneArray)

/** An array that a reader has, or is about to have. */
interface Given {
  readonly key: string
  readonly array: SceneArray
  /** What it has in common with the one that was given before it. */
  readonly from?: { readonly key: string, readonly same: SameBytes }
}

interface Kept {
  /** By what they belong to. */
  readonly arrays: Map<string, Map<string, LargeArray>>
  /** By what they hold: the last one of each that was asked for, so that of the next one only the difference need travel. */
  readonly given: Map<string, Given>
}

/** The large arrays of the scenes that were last described, by program and key. */
export class SceneBuffers {
  readonly #byUri = new Map<string, Kept>()

  /** Replaces the arrays of a program, or of what else is shown with it; a reader that still asks for an older key is told that it is gone. */
  keep(uri: string, arrays: Readonly<Record<string, LargeArray>>, of: 'scene' | 'stock' | 'result' | 'other' = 'scene'): void {
    const kept = this.#byUri.get(uri) ?? { arrays: new Map<string, Map<string, LargeArray>>(), given: new Map<string, Given>() }
    kept.arrays.set(of, new Map(Object.entries(arrays)))
    this.#byUri.set(uri, kept)
  }

  forget(uri: string): void {
    this.#byUri.delete(uri)
  }

  /** `base`: key of the array that the reader has in its place; what it has in common with that one is told and left out. */
  slice(uri: string, key: string, offset: number, base?: string): SceneBufferSlice {
    const given = this.#give(uri, key)
    if (given === undefined) return { gone: true }
    const { array, from } = given
    const same = base !== undefined && from?.key === base ? from.same : undefined
    const first = Math.max(same?.head ?? 0, Math.floor(offset)), end = array.byteLength - (same?.tail ?? 0)
    const length = Math.max(0, Math.min(SLICE_BYTES, end - first))
    // The protocol says little-endian; every platform the runtime is made for is.
    const base64 = Buffer.from(array.buffer, array.byteOffset + Math.min(first, array.byteLength), length).toString('base64')
    return { base64, totalBytes: array.byteLength, ...same === undefined ? {} : { same } }
  }

  #give(uri: string, key: string): Given | undefined {
    const kept = this.#byUri.get(uri)
    const arrays = [...kept?.arrays.values() ?? []].find(one => one.has(key))
    const found = arrays?.get(key)
    if (kept === undefined || found === undefined) return undefined
    const what = whatItHolds(key), before = what === undefined ? undefined : kept.given.get(what)
    if (before?.key === key) return before
    const array = typeof found === 'function' ? found() : found
    arrays?.set(key, array)
    if (what === undefined) return { key, array }
    const given: Given = { key, array, ...before === undefined ? {} : { from: { key: before.key, same: sameBytes(before.array, array) } } }
    kept.given.set(what, given)
    return given
  }
}

/** What an array holds of the program, whichever reading its key names; undefined for what an edit leaves alone or makes altogether new. */
function whatItHolds(key: string): string | undefined {
  return /^path\/\d+\/(.+)$/.exec(key)?.[1]
}
