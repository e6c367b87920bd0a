import { describe, expect, test } from 'vitest'
import type { Channel } from '../../shared/protocol/channel.ts'
import { SLICE_BYTES } from '../../shared/protocol/server-messages.ts'
import type { SceneDescription } from '../../shared/protocol/scene-messages.ts'
import type { BufferSlice, HostSide } from '../../shared/protocol/viewer-messages.ts'
import { SceneLoader } from '../../webview/scene-loader.ts'
import { sampleScene } from './sample-scene.ts'
import type { SampleScene } from './sample-scene.ts'

/** A host that answers from whatever `now` gives, and counts what it is asked. */
function hostOf(now: { scene: SampleScene, describe?: () => SceneDescription, slice?: (key: string, offset: number) => BufferSlice | undefined }) {
  const asked: string[] = []
  const answer = (name: string, params: unknown): unknown => {
    asked.push(name)
    if (name === 'scene/read') return now.describe?.() ?? now.scene.description
    const { key, offset } = params as { key: string, offset: number }
    const own = now.slice?.(key, offset)
    if (own !== undefined) return own
    const bytes = now.scene.buffers.get(key)
    return bytes === undefined ? { gone: true } : { bytes: bytes.slice(offset, offset + SLICE_BYTES), totalBytes: bytes.byteLength }
  }
  const host = { ask: async (name: string, params: unknown) => answer(name, params), tell: () => {}, close: () => {} } as unknown as Channel<HostSide>
  return { host, asked, count: (name: string) => asked.filter(one => one === name).length }
}

/** Arrays that change with the program: four of the path, seven of the motions that hold anything, two of the search. */
const ofProgram = 13
/** Arrays of what stands around the part. */
const around = 2

const small = sampleScene({ triangles: 400, segments: 200 })

test('a mesh of several slices arrives whole, in order', async () => {
  const scene = sampleScene({ triangles: 200_000, segments: 100 })
  const { host, count } = hostOf({ scene })
  const shares: number[] = []
  const loaded = await new SceneLoader(host).load((what, share) => {
    if (what === 'Reading inlet.stl' && share !== undefined) shares.push(share)
  })
  const bytes = scene.buffers.get('part')
  expect(loaded.part?.length).toBe((scene.description.part?.triangles ?? 0) * 9)
  expect(Buffer.compare(Buffer.from(loaded.part?.buffer ?? new ArrayBuffer(0)), bytes ?? new Uint8Array(0))).toBe(0)
  expect(count('scene/buffer')).toBe(ofProgram + around + Math.ceil((bytes?.byteLength ?? 0) / SLICE_BYTES))
  expect(shares).toEqual([...shares].sort((a, b) => a - b))
  expect(shares.at(-1)).toBe(1)
})

test('what has kept its key is not read again and is the same array', async () => {
  const now = { scene: small }
  const { host, asked } = hostOf(now)
  const loader = new SceneLoader(host)
  const first = await loader.load(() => {})
  now.scene = sampleScene({ triangles: 400, segments: 210, edition: 2 })
  asked.length = 0
  const second = await loader.load(() => {})
  expect(asked).toEqual(['scene/read', ...Array.from({ length: ofProgram }, () => 'scene/buffer')])
  expect(second.part).toBe(first.part)
  expect(second.path).not.toBe(first.path)
  asked.length = 0
  expect((await loader.load(() => {})).path).toBe(second.path)
  expect(asked).toEqual(['scene/read'])
})

describe('a scene replaced while it is read', () => {
  test('is read anew', async () => {
    let gone = 2
    const { host, count } = hostOf({ scene: small, slice: key => key === 'part' && gone-- > 0 ? { gone: true } : undefined })
    expect((await new SceneLoader(host).load(() => {})).part).toBeDefined()
    expect(count('scene/read')).toBe(3)
  })

  test('again and again is said', async () => {
    const { host } = hostOf({ scene: small, slice: () => ({ gone: true }) })
    await expect(new SceneLoader(host).load(() => {})).rejects.toThrow('The program changes faster than its picture can be read.')
  })
})

describe('a host that does not keep its word', () => {
  test.each<[string, BufferSlice]>([
    ['too little and no more', { bytes: new Uint8Array(0), totalBytes: 2412 }],
    ['too much', { bytes: new Uint8Array(5000), totalBytes: 5000 }],
    ['another size', { bytes: new Uint8Array(12), totalBytes: 12 }],
  ])('%s: fails in words', async (_name, slice) => {
    const { host } = hostOf({ scene: small, slice: () => slice })
    await expect(new SceneLoader(host).load(() => {})).rejects.toThrow(/A picture of 2412 bytes was announced, \d+ are there; it is not shown\./)
  })
})

test.each([[{ head: 1200, tail: 1300, shift: 0 }], [{ head: -12, tail: 0, shift: 0 }], [{ head: 0, tail: NaN, shift: 0 }], [{ head: 0, tail: 6, shift: 1 }]])('a host that says that more is the same as before than there is, %j: fails in words', async same => {
  const now: Parameters<typeof hostOf>[0] = { scene: small }
  const loader = new SceneLoader(hostOf(now).host)
  await loader.load(() => {})
  now.scene = sampleScene({ triangles: 400, segments: 200, edition: 2 })
  now.slice = key => ({ bytes: new Uint8Array(12), totalBytes: now.scene.buffers.get(key)?.byteLength ?? 0, same })
  await expect(loader.load(() => {})).rejects.toThrow('bytes of a picture were said to be the same as before, which has 2412; it is not shown.')
})

test('a program without a part and without motion loads', async () => {
  const { description } = small
  const { host } = hostOf({ scene: small, describe: () => ({ ...description, part: undefined, path: { ...description.path, vertices: 0 } }) })
  const loaded = await new SceneLoader(host).load(() => {})
  expect(loaded.part).toBeUndefined()
  expect(loaded.path.flags).toHaveLength(0)
})
