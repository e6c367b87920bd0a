import { SLICE_BYTES, type SceneBufferSlice } from '../../shared/protocol/server-messages.ts'

/** An array as it is, or how to make it when it is first asked for: not every viewer wants every one. */
export type LargeArray = SceneArray | (() => SceneArray)
type SceneArray = Float32Array | Float64Array | Uint32Array | Int32Array | Uint8Array

/** The large arrays of the scenes that were last described, by program and key. */
export class SceneBuffers {
  /** By program, then by what they belong to. */
  readonly #byUri = new Map<string, Map<string, Map<string, LargeArray>>>()

  /** Replaces the arrays of a program, or of what else is shown with it; a reader that still asks for an older key is told that it is gone. */
  keep(uri: string, arrays: Readonly<Record<string, LargeArray>>, of: 'scene' | 'stock' | 'result' | 'other' = 'scene'): void {
    const kept = this.#byUri.get(uri) ?? new Map<string, Map<string, LargeArray>>()
    kept.set(of, new Map(Object.entries(arrays)))
    this.#byUri.set(uri, kept)
  }

  forget(uri: string): void {
    this.#byUri.delete(uri)
  }

  slice(uri: string, key: string, offset: number): SceneBufferSlice {
    const array = this.#arrayOf(uri, key)
    if (array === undefined) return { gone: true }
    const from = Math.max(0, Math.floor(offset))
    const length = Math.max(0, Math.min(SLICE_BYTES, array.byteLength - from))
    // The protocol says little-endian; every platform the runtime is made for is.
    const base64 = Buffer.from(array.buffer, array.byteOffset + Math.min(from, array.byteLength), length).toString('base64')
    return { base64, totalBytes: array.byteLength }
  }

  #arrayOf(uri: string, key: string): SceneArray | undefined {
    const arrays = [...this.#byUri.get(uri)?.values() ?? []].find(one => one.has(key))
    const array = arrays?.get(key)
    if (typeof array !== 'function') return array
    const made = array()
    arrays?.set(key, made)
    return made
  }
}
