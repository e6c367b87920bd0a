import type { Channel } from '../shared/protocol/channel.ts'
import { motionArrays } from '../shared/protocol/scene-messages.ts'
import type { ContactDescription, MotionsDescription, OtherVersion, PathDescription, SceneDescription } from '../shared/protocol/scene-messages.ts'
import type { SameBytes, StockAnswer } from '../shared/protocol/server-messages.ts'
import type { ResultDescription } from '../shared/protocol/result-messages.ts'
import type { HostSide } from '../shared/protocol/viewer-messages.ts'
import { ARC_STRIDE } from '../shared/toolpath.ts'
import type { Toolpath } from '../shared/toolpath.ts'
import type { ResultArrays } from './geometry/left-places.ts'
import type { ContactArrays } from './geometry/motion-table.ts'
import { FIGURES, MotionTable } from './geometry/motion-table.ts'
import type { PathArrays } from './geometry/path-geometry.ts'

/** A scene with its large arrays. An array whose key has not changed is the very same object as before. */
export interface LoadedScene {
  readonly description: SceneDescription
  /** Nine numbers a triangle, part frame, mm. */
  readonly part: Float32Array | undefined
  readonly path: PathArrays
  /** As `part`, by the keys that the scene's bodies name. */
  readonly bodies: ReadonlyMap<string, Float32Array>
  /** Undefined where the program has no motions. */
  readonly motions: MotionTable | undefined
  readonly contact: ContactArrays | undefined
}

/** Another version of the program, with its path. */
export interface LoadedOther {
  readonly description: OtherVersion
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
  /** The last array of each kind, by what it holds: of the next one only what differs need be read. */
  readonly #last = new Map<string, KeptArray>()
  #pathKey = ''
  #path: PathArrays | undefined
  #partKey = ''
  #part: Float32Array | undefined
  #bodies = new Map<string, Float32Array>()
  #motionsKey = ''
  #motions: MotionTable | undefined
  #contactKey = ''
  #contact: ContactArrays | undefined

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

  /** The points of the mesh that the clearances belong to; undefined where the search has not ended, or the scene has been replaced. */
  async loadPoints({ motions, contact }: SceneDescription): Promise<Float32Array | undefined> {
    if (motions === undefined || contact === undefined) return undefined
    const bytes = await this.#read(contact.points, motions.count * FIGURES * 12, () => {})
    return bytes === undefined ? undefined : new Float32Array(bytes.buffer)
  }

  /** The stock's triangles, nine numbers each; undefined where there is none to show, or another question has replaced it. */
  async loadStock({ positions, triangles }: StockAnswer): Promise<Float32Array | undefined> {
    if (positions === undefined || triangles === undefined) return undefined
    const bytes = await this.#read(positions, triangles * 36, () => {})
    return bytes === undefined ? undefined : new Float32Array(bytes.buffer)
  }

  /** What is left at the points of the part; undefined where another measuring has replaced it. */
  async loadResult({ samples, points, heights, bounds, motions }: ResultDescription): Promise<ResultArrays | undefined> {
    const read = async (key: string, numbers: number) => (await this.#read(key, numbers * 4, () => {}))?.buffer
    const places = await read(points, samples * 3), values = await read(heights, samples), widths = await read(bounds, samples), causes = await read(motions, samples)
    if (places === undefined || values === undefined || widths === undefined || causes === undefined) return undefined
    return { points: new Float32Array(places), heights: new Float32Array(values), bounds: new Float32Array(widths), motions: new Uint32Array(causes) }
  }

  async loadOther(description: OtherVersion): Promise<LoadedOther> {
    const read = new Map<string, Uint8Array>()
    for (const { key, size } of pathWanted(description.path)) {
      const bytes = await this.#read(key, size, () => {})
      if (bytes === undefined) throw new Error('The other version was replaced while it was read. Choose it again.')
      read.set(key, bytes)
    }
    return { description, path: pathOf(description.path, key => read.get(key)?.buffer ?? new ArrayBuffer(0)) }
  }

  /** Undefined when a buffer has been replaced meanwhile. */
  async #loadArrays(description: SceneDescription, progress: Progress): Promise<LoadedScene | undefined> {
    const next = new Map<string, Uint8Array>()
    for (const { key, what, size, holds } of wantedBy(description)) {
      const bytes = this.#kept.get(key) ?? await this.#read(key, size, share => progress(what, share), holds === undefined ? undefined : this.#last.get(holds))
      if (bytes === undefined) return undefined
      if (bytes.byteLength !== size) {
        throw new Error(`"${what}" brought ${bytes.byteLength} bytes where ${size} were announced; the picture is not shown.`)
      }
      next.set(key, bytes)
      if (holds !== undefined) this.#last.set(holds, { key, bytes })
    }
    this.#kept = next
    return this.#assemble(description, next)
  }

  /** Views on the bytes; those whose keys have not changed are the very same objects as before. */
  #assemble(description: SceneDescription, read: ReadonlyMap<string, Uint8Array>): LoadedScene {
    const { part, path, bodies, motions, contact } = description
    const bytesOf = (key: string) => read.get(key)?.buffer ?? new ArrayBuffer(0)
    const pathKey = `${path.positions} ${path.lines} ${path.flags}`
    if (this.#path === undefined || this.#pathKey !== pathKey) {
      this.#pathKey = pathKey
      this.#path = pathOf(path, bytesOf)
    }
    if (this.#partKey !== (part?.positions ?? '')) {
      this.#partKey = part?.positions ?? ''
      this.#part = part === undefined ? undefined : new Float32Array(bytesOf(part.positions))
    }
    this.#bodies = new Map(bodies.map(({ positions }) => [positions, this.#bodies.get(positions) ?? new Float32Array(bytesOf(positions))]))
    const motionsKey = motions === undefined ? '' : Object.values(motions.buffers).join(' ')
    if (this.#motionsKey !== motionsKey) {
      this.#motionsKey = motionsKey
      this.#motions = motions === undefined ? undefined : new MotionTable(toolpathOf(motions, bytesOf), motions)
    }
    if (this.#contactKey !== (contact?.value ?? '')) {
      this.#contactKey = contact?.value ?? ''
      this.#contact = contact === undefined ? undefined : {
        value: new Float32Array(bytesOf(contact.value)), certified: new Float32Array(bytesOf(contact.certified)), limits: contact.limits,
      }
    }
    return { description, part: this.#part, path: this.#path, bodies: this.#bodies, motions: this.#motions, contact: this.#contact }
  }

  /**
   * Fetches a buffer slice by slice into one that starts at byte 0 of its memory, so that numbers lie aligned. `base`: the array
   * that stood in its place before.
   */
  async #read(key: string, size: number, progress: (share: number) => void, base?: KeptArray): Promise<Uint8Array | undefined> {
    const bytes = new Uint8Array(size)
    let offset = 0, end = size
    while (offset < end) {
      progress(offset / size)
      const slice = await this.#host.ask('scene/buffer', { key, offset, base: base?.key })
      if ('gone' in slice) return undefined
      if (slice.totalBytes === size && base !== undefined && slice.same !== undefined && offset === 0) {
        takeOver(slice.same, base.bytes, bytes)
        offset = slice.same.head
        end = size - slice.same.tail
      }
      if ((slice.bytes.byteLength === 0 && offset < end) || offset + slice.bytes.byteLength > end || slice.totalBytes !== size) {
        throw new Error(`A picture of ${size} bytes was announced, ${slice.totalBytes} are there; it is not shown.`)
      }
      bytes.set(slice.bytes, offset)
      offset += slice.bytes.byteLength
    }
    progress(1)
    return bytes
  }
}

interface KeptArray { readonly key: string, readonly bytes: Uint8Array }

/** Copies what two arrays have in common; fails in words where one of them is not as large as is said. */
function takeOver({ head, tail, shift }: SameBytes, from: Uint8Array, to: Uint8Array): void {
  if (!(head >= 0 && tail >= 0 && head + tail <= Math.min(from.byteLength, to.byteLength)) || (shift !== 0 && tail % 4 !== 0)) {
    throw new Error(`${head} and ${tail} bytes of a picture were said to be the same as before, which has ${from.byteLength}; it is not shown.`)
  }
  to.set(from.subarray(0, head))
  to.set(from.subarray(from.byteLength - tail), to.byteLength - tail)
  if (shift === 0) return
  const numbers = new Uint32Array(to.buffer, to.byteLength - tail, tail / 4)
  numbers.forEach((number, i) => {
    numbers[i] = number + shift
  })
}

interface Wanted {
  readonly key: string
  readonly what: string
  readonly size: number
  /** Which array of a program it is, whatever its key; undefined for meshes, which no edit changes in part. */
  readonly holds?: string
}

/** Every buffer of a scene, with the size that its description promises: what shows first is read first. */
function wantedBy({ part, path, bodies, motions, contact }: SceneDescription): Wanted[] {
  return [
    ...pathWanted(path),
    ...part === undefined ? [] : [{ key: part.positions, what: `Reading ${part.name}`, size: part.triangles * 36 }],
    ...bodies.map(({ name, positions, triangles }) => ({ key: positions, what: `Reading ${name}`, size: triangles * 36 })),
    ...motions === undefined ? [] : motionsWanted(motions),
    ...motions === undefined || contact === undefined ? [] : contactWanted(contact, motions.count),
  ]
}

function pathWanted({ positions, lines, flags, motions, vertices }: PathDescription): Wanted[] {
  return ([['positions', positions, 12], ['lines', lines, 4], ['flags', flags, 1], ['motions', motions, 4]] as const)
    .map(([name, key, width]) => ({ key, what: 'Reading the path', size: vertices * width, holds: `path ${name}` }))
}

function pathOf({ positions, lines, flags, motions }: PathDescription, bytesOf: (key: string) => ArrayBufferLike): PathArrays {
  return {
    positions: new Float32Array(bytesOf(positions)), lines: new Uint32Array(bytesOf(lines)),
    flags: new Uint8Array(bytesOf(flags)), motions: new Uint32Array(bytesOf(motions)),
  }
}

function motionsWanted(motions: MotionsDescription): Wanted[] {
  return (Object.entries(motions.buffers) as [keyof typeof motionArrays, string][])
    .map(([name, key]) => ({ key, what: 'Reading the motions', size: numbersOf(name, motions) * motionArrays[name].of.BYTES_PER_ELEMENT, holds: `motion ${name}` }))
}

function numbersOf(name: keyof typeof motionArrays, { count, arcs, axes }: MotionsDescription): number {
  if (name === 'joints') return (count + 1) * axes.length
  return name === 'arcs' ? arcs * ARC_STRIDE : count * motionArrays[name].width
}

function contactWanted({ value, certified }: ContactDescription, motions: number): Wanted[] {
  return Object.entries({ value, certified }).map(([name, key]) => ({ key, what: 'Reading the clearances', size: motions * FIGURES * 4, holds: `contact ${name}` }))
}

function toolpathOf({ count, axes, buffers }: MotionsDescription, bytesOf: (key: string) => ArrayBufferLike): Toolpath {
  const bytes = (name: keyof typeof motionArrays) => bytesOf(buffers[name] ?? '')
  return {
    count,
    axes: axes.map(({ letter }) => letter),
    kind: new Uint8Array(bytes('kind')),
    flags: new Uint8Array(bytes('flags')),
    line: new Uint32Array(bytes('line')),
    tool: new Uint8Array(bytes('tool')),
    seconds: new Float32Array(bytes('seconds')),
    joints: new Float64Array(bytes('joints')),
    arcOf: new Int32Array(bytes('arcOf')),
    arcs: new Float64Array(bytes('arcs')),
    ...buffers.callOf === undefined ? {} : { callOf: new Int32Array(bytes('callOf')) },
    ...buffers.ownLine === undefined ? {} : { ownLine: new Int32Array(bytes('ownLine')) },
    ...buffers.pass === undefined ? {} : { pass: new Uint32Array(bytes('pass')) },
  }
}
