import { describe, expect, test } from 'vitest'
import { sameBytes } from '../../server/lsp/array-difference.ts'
import { SceneBuffers } from '../../server/lsp/scene-buffers.ts'
import type { Channel } from '../../shared/protocol/channel.ts'
import type { SceneDescription } from '../../shared/protocol/scene-messages.ts'
import type { HostSide } from '../../shared/protocol/viewer-messages.ts'
import { SceneLoader } from '../../webview/scene-loader.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { sampleScene } from '../webview/sample-scene.ts'

const uri = 'file:///inlet.nc'

describe('what two arrays have in common', () => {
  test('start and end, which never overlap', () => {
    expect(sameBytes(Uint8Array.of(1, 2, 3, 4), Uint8Array.of(1, 2, 9, 9, 4))).toEqual({ head: 2, tail: 1, shift: 0 })
    expect(sameBytes(Uint8Array.of(7, 7, 7), Uint8Array.of(7, 7, 7, 7, 7))).toEqual({ head: 3, tail: 0, shift: 0 })
    expect(sameBytes(Float64Array.of(1, NaN, 3), Float64Array.of(1, NaN, 3))).toEqual({ head: 24, tail: 0, shift: 0 })
    expect(sameBytes(new Float32Array(0), Float32Array.of(1))).toEqual({ head: 0, tail: 0, shift: 0 })
  })

  test('numbers of lines that have all moved by the same', () => {
    expect(sameBytes(Uint32Array.of(0, 1, 2, 3, 4), Uint32Array.of(0, 1, 2, 3, 4, 5, 6))).toEqual({ head: 20, tail: 0, shift: 0 })
    expect(sameBytes(Uint32Array.of(0, 5, 5, 6, 9), Uint32Array.of(0, 5, 8, 8, 9, 12))).toEqual({ head: 8, tail: 12, shift: 3 })
    expect(sameBytes(Uint32Array.of(0, 5, 8, 8, 9, 12), Uint32Array.of(0, 5, 5, 6, 9))).toEqual({ head: 8, tail: 12, shift: -3 })
  })
})

/** A page and the server's arrays with nothing but the channel's two questions between them. Bytes that have travelled are counted. */
class Session {
  readonly buffers = new SceneBuffers()
  travelled = 0
  /** Of the clearances alone. */
  travelledOfContact = 0
  scene: SceneDescription | undefined
  readonly loader = new SceneLoader({
    ask: async (name: string, params: { key: string, offset: number, base?: string }) => {
      if (name === 'scene/read') return this.scene
      const slice = this.buffers.slice(uri, params.key, params.offset, params.base)
      if ('gone' in slice) return slice
      const bytes = Uint8Array.from(Buffer.from(slice.base64, 'base64'))
      this.travelled += bytes.byteLength
      if (params.key.includes('/contact/')) this.travelledOfContact += bytes.byteLength
      return { bytes, totalBytes: slice.totalBytes, same: slice.same }
    },
    tell: () => {},
    close: () => {},
  } as unknown as Channel<HostSide>)

  /** Describes a program whose path is this one, and reads it as the page does; gives the bytes that travelled. */
  async read(serial: number, path: { readonly positions: Float32Array, readonly lines: Uint32Array, readonly flags: Uint8Array, readonly motions: Uint32Array }): Promise<number> {
    const key = `path/${serial}`
    this.buffers.keep(uri, Object.fromEntries(Object.entries(path).map(([name, array]) => [`${key}/${name}`, array])))
    const { description } = sampleScene({ triangles: 400, segments: 60 })
    this.scene = {
      ...description, part: undefined, bodies: [], motions: undefined, contact: undefined,
      path: { vertices: path.flags.length, positions: `${key}/positions`, lines: `${key}/lines`, flags: `${key}/flags`, motions: `${key}/motions` },
    }
    this.travelled = 0
    const loaded = await this.loader.load(() => {})
    for (const name of ['positions', 'lines', 'flags', 'motions'] as const) expect(Buffer.compare(Buffer.from(loaded.path[name].buffer), Buffer.from(path[name].buffer)), `${name} of reading ${serial}`).toBe(0)
    return this.travelled
  }

  /** Describes a program whose search has come to these figures, four a motion, and reads it as the page does; gives the bytes of figures that travelled. */
  async readFigures(serial: number, value: Float32Array, certified: Float32Array): Promise<number> {
    const { description, buffers } = sampleScene({ triangles: 400, segments: value.length / 4, edition: value.length })
    const key = `path/${serial}/contact`
    this.buffers.keep(uri, { ...Object.fromEntries(buffers), [`${key}/value`]: value, [`${key}/certified`]: certified })
    this.scene = { ...description, part: undefined, contact: { limits: [], points: `${key}/points`, value: `${key}/value`, certified: `${key}/certified` } }
    this.travelledOfContact = 0
    const { contact } = await this.loader.load(() => {})
    expect(Buffer.compare(Buffer.from(contact?.value.buffer ?? new ArrayBuffer(0)), Buffer.from(value.buffer)), `figures of reading ${serial}`).toBe(0)
    expect(Buffer.compare(Buffer.from(contact?.certified.buffer ?? new ArrayBuffer(0)), Buffer.from(certified.buffer)), `bounds of reading ${serial}`).toBe(0)
    return this.travelledOfContact
  }

  /** Describes a program that is still searched, and reads it. */
  async readWithoutFigures(): Promise<void> {
    if (this.scene !== undefined) this.scene = { ...this.scene, contact: undefined }
    expect((await this.loader.load(() => {})).contact).toBeUndefined()
  }
}

function pathOf(points: readonly (readonly [number, number, number])[]) {
  return {
    positions: Float32Array.from(points.flat()), lines: Uint32Array.from(points, (_, i) => i),
    flags: Uint8Array.from(points, (_, i) => i === 0 ? 2 : 0), motions: Uint32Array.from(points, (_, i) => Math.max(0, i - 1)),
  }
}

describe('the arrays of a program after an edit', () => {
  const many = Array.from({ length: 400_000 }, (_, i): [number, number, number] => [i * 0.01, Math.sin(i), -i * 0.001])

  test('of one block of 400,000: a few bytes travel, whether a word is changed or blocks are put in or taken out', async () => {
    const session = new Session()
    expect(await session.read(1, pathOf(many))).toBe(400_000 * 21)
    expect(await session.read(2, pathOf(many.with(200_000, [1, 2, 3])))).toBeLessThanOrEqual(12)
    expect(await session.read(3, pathOf(many.toSpliced(100_000, 0, [4, 5, 6], [7, 8, 9])))).toBeLessThan(1_300_000)
    expect(await session.read(4, pathOf(many))).toBeLessThan(1_300_000)
    expect(await session.read(5, pathOf(many))).toBe(0)
    expect(await session.read(6, pathOf(many.toSpliced(100_000, 0, [4, 5, 6], [7, 8, 9])))).toBeLessThanOrEqual(2 * 21 + 24)
  })

  const seed = 40711
  test(`come whole after any edits, seed ${seed}`, async () => {
    const random = new SeededRandom(seed), session = new Session()
    let points = many.slice(0, 40)
    for (let serial = 1; serial <= 300; serial++) {
      const at = random.whole(0, points.length), out = random.whole(0, 4), put = random.whole(points.length - out < 2 ? 2 : 0, 4)
      points = points.toSpliced(at, out, ...Array.from({ length: put }, (): [number, number, number] => [random.whole(0, 3), random.whole(0, 3), random.whole(0, 3)]))
      // Now and then one is described that the page never reads.
      if (random.whole(0, 5) === 0) session.buffers.keep(uri, {})
      await session.read(serial, pathOf(points))
    }
  })

  test('come whole where the reader has another array than the one before', async () => {
    const session = new Session()
    await session.read(1, pathOf(many.slice(0, 50)))
    // Another page has asked for the second reading.
    session.buffers.keep(uri, { 'path/2/positions': pathOf(many.slice(10, 70)).positions })
    expect('gone' in session.buffers.slice(uri, 'path/2/positions', 0)).toBe(false)
    expect(await session.read(3, pathOf(many.slice(0, 50)))).toBe(50 * 12)
  })

  test('clearances: those from the first to the last motion that has others travel, also when the search of a reading between was not waited for', async () => {
    const session = new Session(), random = new SeededRandom(seed)
    // Infinity: farther than was searched for.
    const motions = Array.from({ length: 5000 }, () => Array.from({ length: 4 }, () => random.whole(0, 9) === 0 ? Infinity : random.between(-1, 5)))
    const read = (serial: number, figures: readonly (readonly number[])[]) => {
      const value = Float32Array.from(figures.flat())
      return session.readFigures(serial, value, value.map(figure => figure - 0.002))
    }
    const whole = 5000 * 4 * 4 * 2
    expect(await read(1, motions)).toBe(whole)
    expect(await read(2, motions)).toBe(0)
    const edited = motions.with(2000, [-0.5, 0, 0.25, 9]).with(2002, [1, 2, 3, Infinity])
    await session.readWithoutFigures()
    // Three motions of two arrays, the one between them included.
    expect(await read(4, edited)).toBe(3 * 4 * 4 * 2)
    expect(await read(5, edited.toSpliced(100, 0, [7, 7, 7, 7], [8, 8, 8, 8]))).toBe(2 * 4 * 4 * 2)
    expect(await read(6, edited)).toBe(0)
    expect(await read(7, edited.slice(0, 10))).toBeLessThan(10 * 4 * 4 * 2 + 1)
  })
})
