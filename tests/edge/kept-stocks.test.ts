import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, test } from 'vitest'
import { neverCancelled } from '../../shared/cancellation.ts'
import { KeptStocks } from '../../server/edge/kept-stocks.ts'
import { readInputs } from '../../server/edge/read-inputs.ts'
import { ResultStore } from '../../server/edge/result-store.ts'
import { readStockSource } from '../../server/edge/stock-source.ts'
import { openScene, openStock } from '../../server/engine/service.ts'
import { runToolwake } from '../harness/run-toolwake.ts'

// Three set-ups in order. What the earlier ones leave is kept, found again as it was, and worked out anew as soon as anything that
// it comes from has changed.

const tools = (length = 40) => `"tools": [{ "number": 1, "name": "flat 10", "cutter": { "shape": "flat", "DC": 10, "LCF": 22 }, "LPR": ${length}, "holder": [{ "diameter": 30, "length": 30 }] }]`
const sheet = (programs: string, stock: string, more = tools()) => `{ "programs": ["${programs}"], "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150 } }, "stock": ${stock}, ${more} }`
const slot = (y: number, z = -5) => `T1 M6\nG21 G17 G90 G94 G54 S8000 M3\nG0 G43 H1 X-30. Y${y}. Z5.\nZ${z}.\nG1 X30. F500\nG0 Z5.\nM30\n`
const box = (top: number) => `{ "box": { "min": [-20, -20, -20], "max": [20, 20, ${top}] }, "pitch": 0.5 }`
/** A tetrahedron; its last facet is left out, so that there is something to say of it. */
const openMesh = 'v -20 -20 -20\nv 20 -20 -20\nv 0 20 -20\nv 0 0 0\nf 1 3 2\nf 1 2 4\nf 2 3 4\n'

let folder = '', kept = ''

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'toolwake-kept-stocks-'))
  kept = join(folder, 'kept')
  write('op10.setup.json', sheet('op10.nc', box(0)))
  write('op10.nc', `${slot(-10).replace('M30\n', '')}M98 P0100\nM30\n`)
  write('O0100.nc', `O0100\n${slot(5).replace('M30', 'M99')}`)
  write('op20.setup.json', sheet('op20.nc', '{ "from": "op10.setup.json", "rotate": [180, 0, 0], "translate": [0, 0, -20], "pitch": 0.5 }'))
  write('op20.nc', slot(0))
  write('op30.setup.json', sheet('op30.nc', '{ "from": "op20.setup.json", "pitch": 0.5 }'))
  write('op30.nc', slot(10))
})
afterEach(() => rmSync(folder, { recursive: true, force: true }))

function write(name: string, text: string): void {
  writeFileSync(join(folder, name), text)
}

/** The rays of the stock of a sheet, what was said of it, and how often an earlier set-up was found and run. */
async function opened(name = 'op30.setup.json', engine = 'this engine') {
  const { sheet: file, machine, failures } = await readInputs(join(folder, name))
  const read = await readStockSource(openScene(file, machine, failures))
  if (read === undefined) throw new Error('the sheet gives no stock')
  const stocks = new KeptStocks(new ResultStore({ folder: kept, limit: 2 ** 26 }, sentence => { throw new Error(sentence) }), engine)
  let found = 0, ran = 0
  const stock = openStock(read.source, neverCancelled, {
    recall: stage => {
      const left = stocks.recall(stage)
      if (left !== undefined) found++
      return left
    },
    keep: (stage, left) => {
      ran++
      stocks.keep(stage, left)
    },
  })
  const rays = stock.simulation?.grid.families.map(({ tiles }) => tiles.map(tile => tile === undefined ? undefined : { counts: tile.counts, bounds: tile.bounds, low: tile.low, high: tile.high }))
  return { rays, frame: stock.simulation?.grid.frame, findings: stock.findings, found, ran }
}

const files = () => readdirSync(kept).filter(name => name.startsWith('stock-'))

describe('the stock that earlier set-ups leave', () => {
  test('is found again, ray for ray, and nothing is run for it', async () => {
    const first = await opened()
    expect([first.found, first.ran]).toEqual([0, 2])
    expect(files()).toHaveLength(2)
    const again = await opened()
    expect([again.found, again.ran]).toEqual([1, 0])
    expect({ ...again, found: 0, ran: 2 }).toEqual(first)
    expect(first.rays?.flat().some(tile => tile !== undefined)).toBe(true)
  })

  test('serves whoever goes on from it, however it is turned there', async () => {
    await opened()
    write('op40.setup.json', sheet('op40.nc', '{ "from": "op20.setup.json", "rotate": [0, 90, 0], "pitch": 0.7 }'))
    expect(await opened('op40.setup.json')).toMatchObject({ found: 1, ran: 0 })
  })

  test.each([
    ['the stock of the first sheet', 'op10.setup.json', sheet('op10.nc', box(-1)), 2],
    ['a tool of the first sheet', 'op10.setup.json', sheet('op10.nc', box(0), tools(41)), 2],
    ['the first program', 'op10.nc', slot(-10, -6), 2],
    ['a program that it calls', 'O0100.nc', `O0100\n${slot(5, -6).replace('M30', 'M99')}`, 2],
    ['how the second sheet lays it', 'op20.setup.json', sheet('op20.nc', '{ "from": "op10.setup.json", "rotate": [180, 0, 0], "translate": [0, 0, -21], "pitch": 0.5 }'), 1],
    ['the second program', 'op20.nc', slot(1), 1],
  ])('is worked out anew when %s changes', async (_, name, text, ran) => {
    await opened()
    write(name, text)
    const changed = await opened()
    expect(changed.ran).toBe(ran)
    rmSync(kept, { recursive: true })
    expect((await opened()).rays).toEqual(changed.rays)
  })

  test('is worked out anew by another engine, and where what was kept is damaged', async () => {
    const first = await opened()
    expect((await opened('op30.setup.json', 'another engine')).ran).toBe(2)
    for (const name of files()) {
      const bytes = readFileSync(join(kept, name))
      bytes[bytes.length - 9] ^= 1
      writeFileSync(join(kept, name), bytes)
    }
    expect(await opened()).toEqual(first)
  })

  test('comes with what was said of its mesh, and is worked out anew when the mesh changes', async () => {
    write('blank.obj', openMesh)
    write('op10.setup.json', sheet('op10.nc', '{ "mesh": "blank.obj", "units": "mm", "pitch": 0.5 }'))
    const first = await opened(), again = await opened()
    expect(first.findings.length).toBeGreaterThan(0)
    expect([again.found, again.ran]).toEqual([1, 0])
    expect(again.findings).toEqual(first.findings)
    write('blank.obj', openMesh.replace('v 0 0 0', 'v 0 0 -1'))
    expect((await opened()).ran).toBe(2)
  })

  test('changes nothing in what the command line says, which keeps it beside the other results', async () => {
    mkdirSync(join(folder, 'cache'))
    const check = (...more: string[]) => runToolwake(['check', 'op30.nc', ...more], { folder, cache: join(folder, 'cache') })
    const without = await check('--no-cache'), first = await check()
    const names = readdirSync(join(folder, 'cache'), { recursive: true }).map(String)
    expect(names.filter(name => /stock-[0-9a-f]{64}\.kept$/.test(name))).toHaveLength(2)
    const again = await check()
    expect(first.output).toBe(without.output)
    expect(again.output).toBe(without.output)
    expect(without.output).toContain('The stock as it is cut')
    expect(again.errors).not.toContain('not kept')
  })
})
