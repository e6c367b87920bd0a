import { SLICE_BYTES, type SceneBufferSlice } from '../../shared/protocol/server-messages.ts'

/** The large arrays of the scenes that were last described, by program and key. */
export class SceneBuffers {
  readonly #byUri = new Map<string, ReadonlyMap<string, Uint8Array>>()

  /** Replaces the arrays of a program; a reader that still asks for an older key is told that it is gone. */
  keep(uri: string, arrays: Readonly<Record<string, Float32Array | Uint32Array | Uint8Array>>): void {
    // The protocol says little-endian; every platform the runtime is made for is.
    this.#byUri.set(uri, new Map(Object.entries(arrays).map(([key, array]) =>
      [key, new Uint8Array(array.buffer, array.byteOffset, array.byteLength)])))
  }

  forget(uri: string): void {
    this.#byUri.delete(uri)
  }

  slice(uri: string, key: string, offset: number): SceneBufferSlice {
    const bytes = this.#byUri.get(uri)?.get(key)
    if (bytes === undefined) return { gone: true }
    const from = Math.max(0, Math.floor(offset))
    const length = Math.max(0, Math.min(SLICE_BYTES, bytes.length - from))
    const base64 = Buffer.from(bytes.buffer, bytes.byteOffset + Math.min(from, bytes.length), length).toString('base64')
    return { base64, totalBytes: bytes.length }
  }
}
