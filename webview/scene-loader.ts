import type { Channel } from '../shared/protocol/channel.ts'
import type { SceneDescription } from '../shared/protocol/server-messages.ts'
import type { HostSide } from '../shared/protocol/viewer-messages.ts'
import type { PathArrays } from './geometry/path-geometry.ts'

/** A scene with its large arrays. An array whose key has not changed is the very same object as before. */
export interface LoadedScene {
  readonly description: SceneDescription
  /** Nine numbers a triangle, part frame, mm. */
  readonly part: Float32Array | undefined
  readonly path: PathArrays
}

/** `share`: 0 to 1. */
export type Progress = (what: string, share: number | undefined) => void

/** How often a scene may be replaced under our hands before we say so. */
const ATTEMPTS = 5

/** Reads scenes and keeps the arrays of the last one by their keys. */
export class SceneLoader {
  readonly #host: Channel<HostSide>
  #kept = new Map<string, Uint8Array>()
  #pathKey = ''
  #path: PathArrays | undefined
  #partKey = ''
  #part: Float32Array | undefined

  constructor(host: Channel<HostSide>) {
    this.#host = host
  }

  async load(progress: Progress): Promise<LoadedScene> {
    for (let attempt = 0; attempt < ATTEMPTS; attempt++) {
      progress('Reading the program', undefined)
      const description = await this.#host.ask('scene/read', undefined)
      const loaded = await this.#loadArrays(description, progress)
      if (loaded !== undefined) return loaded
    }
    throw new Error('The program changes faster than its picture can be read. The next change brings it.')
  }

  /** Undefined when a buffer has been replaced meanwhile. */
  async #loadArrays(description: SceneDescription, progress: Progress): Promise<LoadedScene | undefined> {
    const { part, path } = description
    const wanted = [
      { key: path.positions, what: 'Reading the path', size: path.vertices * 12 },
      { key: path.lines, what: 'Reading the path', size: path.vertices * 4 },
      { key: path.flags, what: 'Reading the path', size: path.vertices },
      ...part === undefined ? [] : [{ key: part.positions, what: `Reading ${part.name}`, size: part.triangles * 36 }],
    ]
    const next = new Map<string, Uint8Array>()
    for (const { key, what, size } of wanted) {
      const bytes = this.#kept.get(key) ?? await this.#read(key, size, share => progress(what, share))
      if (bytes === undefined) return undefined
      if (bytes.byteLength !== size) {
        throw new Error(`"${what}" brought ${bytes.byteLength} bytes where ${size} were announced; the picture is not shown.`)
      }
      next.set(key, bytes)
    }
    this.#kept = next
    const bytesOf = (key: string) => next.get(key) ?? new Uint8Array(0)
    const pathKey = `${path.positions} ${path.lines} ${path.flags}`
    if (this.#path === undefined || this.#pathKey !== pathKey) {
      this.#pathKey = pathKey
      this.#path = {
        positions: new Float32Array(bytesOf(path.positions).buffer, 0, path.vertices * 3),
        lines: new Uint32Array(bytesOf(path.lines).buffer, 0, path.vertices),
        flags: bytesOf(path.flags),
      }
    }
    if (part === undefined) {
      this.#part = undefined
      this.#partKey = ''
    } else if (this.#partKey !== part.positions) {
      this.#partKey = part.positions
      this.#part = new Float32Array(bytesOf(part.positions).buffer, 0, part.triangles * 9)
    }
    return { description, part: this.#part, path: this.#path }
  }

  /** Fetches a buffer slice by slice into one that starts at byte 0 of its memory, so that numbers lie aligned. */
  async #read(key: string, size: number, progress: (share: number) => void): Promise<Uint8Array | undefined> {
    const bytes = new Uint8Array(size)
    let offset = 0
    while (offset < size) {
      progress(offset / size)
      const slice = await this.#host.ask('scene/buffer', { key, offset })
      if ('gone' in slice) return undefined
      if (slice.bytes.byteLength === 0 || offset + slice.bytes.byteLength > size || slice.totalBytes !== size) {
        throw new Error(`A picture of ${size} bytes was announced, ${slice.totalBytes} are there; it is not shown.`)
      }
      bytes.set(slice.bytes, offset)
      offset += slice.bytes.byteLength
    }
    progress(1)
    return bytes
  }
}
