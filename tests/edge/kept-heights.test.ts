import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { build } from 'esbuild'
import { afterAll, afterEach, beforeAll, describe, expect, test, vi } from 'vitest'
import { neverCancelled } from '../../shared/cancellation.ts'
import { packRecord, unpackRecord } from '../../server/edge/packed-record.ts'
import { ResultPool, type MeasuredSurface, type ResultPoolOptions } from '../../server/edge/result-pool.ts'
import { ResultStore } from '../../server/edge/result-store.ts'
import { buildMeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { openScene, readProgram } from '../../server/engine/service.ts'
import { boreMesh, boreProgram, boreSheet } from '../bench/bore.ts'

// What stands on a part after a program comes back to the last bit, and only for the same motions over the same points. To tell what
// came back from what was measured again, what is kept is marked.

const folder = mkdtempSync(join(tmpdir(), 'toolwake-heights-')), script = join(folder, 'result-worker.cjs')
const store = { folder: join(folder, 'kept'), limit: 1e9 }
const sheet = boreSheet.replace('"limits":{', '"limits":{"leftover":0.05,'), text = boreProgram(60)
const mark = 1.25, wall = boreMesh(20_000)
/** The piece of the wall at which the program begins. */
const corners = Float64Array.from(Array.from({ length: wall.length / 9 }, (_, i) => wall.subarray(i * 9, i * 9 + 9)).filter(([x, y, z]) => x > 0 && Math.abs(y) < 3 && Math.abs(z + 20) < 1).flatMap(piece => [...piece]))
const said: string[] = []
let fresh: MeasuredSurface

beforeAll(async () => {
  await build({
    entryPoints: [join(import.meta.dirname, '../../server/edge/result-worker.ts')], outfile: script,
    bundle: true, platform: 'node', format: 'cjs', target: 'node20', mainFields: ['module', 'main'], logLevel: 'error',
  })
  fresh = await measure({})
  await measure({ store })
  markAll()
})
afterEach(() => { said.length = 0 })
afterAll(() => rmSync(folder, { recursive: true, force: true }))

interface Wish { readonly program?: string, readonly sheet?: string, readonly corners?: Float64Array, readonly isShared?: boolean }

async function measure(options: ResultPoolOptions, wish: Wish = {}, threads = 1): Promise<MeasuredSurface> {
  const scene = openScene({ path: 'bore.setup.json', text: wish.sheet ?? sheet }, undefined)
  const program = readProgram({ path: 'bore.nc', text: wish.program ?? text }, scene), { tree } = buildMeshTree(wish.corners ?? corners, wish.isShared ?? true)
  const pool = new ResultPool(threads, { script, log: sentence => said.push(sentence), ...options })
  try {
    const measured = await pool.measure(program, scene, tree, { cancellation: neverCancelled })
    if (measured === undefined) throw new Error('nothing was measured')
    return measured
  } finally {
    await pool.dispose()
  }
}

/** Puts a height that no search would find into all that is kept. */
function markAll(): void {
  const kept = new ResultStore(store, sentence => said.push(sentence))
  for (const name of readdirSync(store.folder)) {
    const key = /^heights-(.+)\.kept$/.exec(name)?.[1]
    if (key === undefined) throw new Error(`${name} is not what was to be kept`)
    const record = kept.read('heights', key)
    // Damaged.
    if (record === undefined) continue
    const { value, gaveUp, motion } = unpackRecord(record).arrays
    if (value === undefined || gaveUp === undefined || motion === undefined) throw new Error('heights are lacking')
    value[0] = mark
    kept.write('heights', key, packRecord({}, { value, gaveUp, motion }))
  }
}

const cameBack = async (wish: Wish, more: ResultPoolOptions = {}) => (await measure({ store, ...more }, wish)).figures.value[0] === mark
const withoutMark = ({ figures: { value, gaveUp, motion } }: MeasuredSurface) => [value.slice(1), gaveUp, motion]

describe('heights kept from an earlier time', () => {
  test('come back to the last bit', async () => {
    expect(fresh.result.reached).toBeGreaterThan(0)
    expect(fresh.figures.value[0]).not.toBe(mark)
    const again = await measure({ store })
    expect(again.figures.value[0]).toBe(mark)
    expect(withoutMark(again)).toEqual(withoutMark(fresh))
    expect(again.boxes).toEqual(fresh.boxes)
    expect(said).toEqual([])
  })

  test.each<[string, Wish]>([
    ['lines that move nothing', { program: text.replace('O7', 'O7\n(ONE LINE MORE)') }],
    ['the limits', { sheet: sheet.replace('"leftover":0.05', '"leftover":0.1') }],
  ])('do not hang on %s', async (_, wish) => {
    expect(await cameBack(wish)).toBe(true)
  })

  test.each<[string, Wish]>([
    ['a motion', { program: text.replace('G1 X0. Y0. Z20. F2000.', 'G1 X0. Y0. Z19.999 F2000.') }],
    ['the cutter', { sheet: sheet.replace('"DC":4', '"DC":3.998') }],
    ['the tool\'s length', { sheet: sheet.replace('"LPR":38', '"LPR":38.5') }],
    ['one corner of the mesh', { corners: corners.map((value, i) => i === 5 ? value + 1e-6 : value) }],
    ['where the part stands', { sheet: sheet.replace('"A":0', '"A":1') }],
  ])('are not taken for another: %s', async (_, wish) => {
    expect(await cameBack(wish)).toBe(false)
  })

  test('are not taken from another engine', async () => {
    const other = join(folder, 'other.cjs')
    writeFileSync(other, `${readFileSync(script, 'utf8')}\n// Another one.\n`)
    expect(await cameBack({}, { script: other })).toBe(false)
  })

  test('and damaged are measured again, and kept anew', async () => {
    for (const name of readdirSync(store.folder)) writeFileSync(join(store.folder, name), readFileSync(join(store.folder, name)).subarray(0, -9))
    expect((await measure({ store })).figures).toEqual(fresh.figures)
    markAll()
    expect(await cameBack({})).toBe(true)
  })

  test('in a folder that cannot be written cost a sentence and nothing else', async () => {
    const place = { folder: join(script, 'no-folder'), limit: 1e9 }
    expect((await measure({ store: place })).figures).toEqual(fresh.figures)
    expect(said).toEqual([expect.stringMatching(/^Results are not kept for the next time: the folder .+ cannot be written/)])
  })
})

describe('without threads', () => {
  afterEach(() => { vi.unstubAllGlobals() })
  const sentence = (why: string) => `No thread could be started to measure what is left (${why}); it is measured beside everything else and takes longer.`

  test('what is left is measured here, comes to the same, and that is said', async () => {
    const { figures, result } = await measure({ start: () => { throw new Error('no more threads') } }, {}, 2)
    expect(figures).toEqual(fresh.figures)
    expect(result).toEqual(fresh.result)
    expect(said).toEqual([sentence('no more threads'), sentence('no more threads')])
  })

  test('and where there is no memory to share', async () => {
    vi.stubGlobal('SharedArrayBuffer', undefined)
    const { figures } = await measure({}, { isShared: false })
    vi.unstubAllGlobals()
    expect([...figures.value]).toEqual([...fresh.figures.value])
    expect([...figures.motion]).toEqual([...fresh.figures.motion])
    expect(said).toEqual([sentence('there is no memory to share with a thread')])
  })
})
