import { readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest'
import { buildMeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { contactFindings, contentPieces, openScene, readProgram, searchInputOf, type ContactFigures, type ReadProgram, type Scene } from '../../server/engine/service.ts'
import { boreProgram, boreSheet } from '../bench/bore.ts'
import { BorePool } from './bore-pool.ts'

// What is kept of a search comes back to the last bit, and only for what it was found for. To tell what came back from
// what was searched again, the second search is given a mesh far away under the first one's name: there it finds nothing.

const bore = new BorePool(5000)
const store = { folder: join(bore.folder, 'kept'), limit: 1e9 }
const farTree = buildMeshTree(Float64Array.from([900, 900, 900, 901, 900, 900, 900, 901, 900]), true).tree
const far = { ...farTree, chordErrors: new Float32Array(1) }
const text = boreProgram(5000)
let fresh: ContactFigures

beforeAll(async () => {
  await bore.bundle()
  fresh = await bore.pool(2).search(bore.program, bore.search)
})
afterAll(() => bore.remove())
beforeEach(async () => {
  rmSync(store.folder, { recursive: true, force: true })
  await bore.pool(1, { store }).keep(bore.program, bore.search.epsilon, fresh)
})

const plain = ({ firstMotion, count, value, certified, time, point, inside, near }: ContactFigures) => ({ firstMotion, count, value, certified, time, point, inside, near })

/** Searches where there is nothing to find: what is found was kept. Answers for each motion whether it came back. */
async function recall(program: ReadProgram, { scene = bore.scene, name = 'the bore', epsilon = bore.search.epsilon, script = bore.script }: { scene?: Scene, name?: string, epsilon?: number, script?: string } = {}): Promise<{ figures: ContactFigures, kept: boolean[] }> {
  const pool = bore.pool(1, { store, script })
  pool.load(scene, far, [], name)
  const figures = await pool.search(program, { ...bore.search, epsilon })
  return { figures, kept: Array.from({ length: program.toolpath.count }, (_, i) => figures.value.subarray(4 * i, 4 * i + 4).some(value => value < Infinity)) }
}

const count = (flags: readonly boolean[]) => flags.filter(flag => flag).length
/** Motions of the bore's program that come near the wall at all. */
const near = () => Array.from({ length: fresh.count }, (_, i) => fresh.value.subarray(4 * i, 4 * i + 4).some(value => value < Infinity))

describe('figures kept from an earlier search', () => {
  test('come back to the last bit, with all findings', async () => {
    const { figures } = await recall(bore.program)
    expect(plain(figures)).toEqual(plain(fresh))
    expect(count(near())).toBeGreaterThan(4900)
    expect(contactFindings(bore.program, bore.scene, bore.mesh, figures)).toEqual(contactFindings(bore.program, bore.scene, bore.mesh, fresh))
  })

  test('come back for a part of the program too', async () => {
    const pool = bore.pool(1, { store })
    pool.load(bore.scene, far, [], 'the bore')
    const figures = await pool.search(bore.program, { ...bore.search, runs: [{ first: 1000, count: 50 }, { first: 2000, count: 1500 }] })
    expect(figures.value.subarray(0, 200)).toEqual(fresh.value.slice(4000, 4200))
    expect(figures.value.subarray(4000)).toEqual(fresh.value.slice(4 * 2000, 4 * 3500))
  })

  test('come back around an edit: where blocks were put in, all but the piece they stand in', async () => {
    const lines = text.split('\n')
    const edited = bore.read([...lines.slice(0, 2500), 'N1 X-1. Y-18. Z-22.', ...lines.slice(2500)].join('\n'))
    const input = searchInputOf(bore.program, bore.scene, bore.search.epsilon)
    if (input === undefined) throw new Error('the scene cannot be searched')
    const pieces = contentPieces(input)
    expect(pieces.length).toBeGreaterThan(2)
    const { kept, figures } = await recall(edited)
    const largest = Math.max(...pieces.map(piece => piece.count))
    expect(count(near()) - count(kept)).toBeLessThanOrEqual(largest + 2)
    expect(count(kept)).toBeGreaterThan(1500)
    // What came back stands one motion later than before.
    expect(figures.value.slice(-4 * 100)).toEqual(fresh.value.slice(-4 * 100))
    // Searched where the wall is, the edited program comes to what it comes to without anything kept.
    expect(plain(await bore.pool(2, { store }).search(edited, bore.search))).toEqual(plain(await bore.pool(2).search(edited, bore.search)))
  })

  test.each<[string, () => Parameters<typeof recall>]>([
    ['of another mesh', () => [bore.program, { name: 'another bore' }]],
    ['to another width', () => [bore.program, { epsilon: 0.004 }]],
    ['under other limits', () => withSheet(sheet => { sheet.limits.gouge = 0.02 })],
    ['with another tool', () => withSheet(sheet => { sheet.tools[0].LPR = 38.5 })],
    ['with the part elsewhere on the machine', () => withSheet(sheet => { sheet.offsets.G54.A = 1 })],
    ['by another engine', () => {
      const script = join(bore.folder, 'other.cjs')
      writeFileSync(script, `${readFileSync(bore.script, 'utf8')}\n// Another one.\n`)
      return [bore.program, { script }]
    }],
  ])('are not taken for those %s', async (_, changed) => {
    expect(count((await recall(...changed())).kept)).toBe(0)
  })

  test('do not hang on what no figure depends on: lines, other tools of the sheet, order of its keys', async () => {
    const [, { scene } = {}] = withSheet(sheet => { sheet.tools.push({ ...sheet.tools[0], number: 9, lengthOffset: 9 }) })
    const moved = readProgram({ path: 'bore.nc', text: text.replace('O7', 'O7\n(ONE LINE MORE)').replace('M3', 'M3 M8') }, scene ?? bore.scene)
    expect(plain((await recall(moved, { scene })).figures)).toEqual(plain(fresh))
  })

  test('and damaged are searched again, and kept anew', async () => {
    for (const name of readdirSync(store.folder)) writeFileSync(join(store.folder, name), readFileSync(join(store.folder, name)).subarray(0, -9))
    const pool = bore.pool(2, { store }), figures = await pool.search(bore.program, bore.search)
    expect(plain(figures)).toEqual(plain(fresh))
    await pool.keep(bore.program, bore.search.epsilon, figures)
    expect(plain((await recall(bore.program)).figures)).toEqual(plain(fresh))
  })

  test('come back for a component that stays far away too', async () => {
    const first = await bore.pool(1, { store }).searchFarthest(bore.program, 0, 3, bore.search)
    expect(first?.value).toBeGreaterThan(5)
    const pool = bore.pool(1, { store })
    pool.load(bore.scene, far, [], 'the bore')
    expect(await pool.searchFarthest(bore.program, 0, 3, bore.search)).toEqual(first)
  })
})

interface BoreSheet {
  limits: { gouge: number }
  offsets: { G54: { A: number } }
  tools: { number: number, LPR: number, lengthOffset: number }[]
}

/** The bore's program under a changed sheet. */
function withSheet(change: (sheet: BoreSheet) => void): [ReadProgram, { scene: Scene }] {
  const sheet = JSON.parse(boreSheet) as BoreSheet
  change(sheet)
  const scene = openScene({ path: 'bore.setup.json', text: JSON.stringify(sheet) }, undefined)
  return [readProgram({ path: 'bore.nc', text }, scene), { scene }]
}
