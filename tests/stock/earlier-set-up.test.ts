import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, test } from 'vitest'
import { neverCancelled } from '../../shared/cancellation.ts'
import { readInputs } from '../../server/edge/read-inputs.ts'
import { readStockSource } from '../../server/edge/stock-source.ts'
import { openScene, openStock } from '../../server/engine/service.ts'

// Set-ups in order: the stock that one sheet's programs leave is what the next one finds.

const folder = mkdtempSync(join(tmpdir(), 'toolwake-set-ups-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const tools = '"tools": [{ "number": 1, "name": "flat 10", "cutter": { "shape": "flat", "DC": 10, "LCF": 22 }, "LPR": 40, "holder": [{ "diameter": 30, "length": 30 }] }]'
const sheet = (programs: string, stock: string) => `{ "programs": ${programs}, "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150 } }, "stock": ${stock}, ${tools} }`
const slot = (y: number) => `T1 M6\nG21 G17 G90 G94 G54 S8000 M3\nG0 G43 H1 X-30. Y${y}. Z5.\nZ-5.\nG1 X30. F500\nG0 Z5.\nM30\n`

function write(files: Readonly<Record<string, string>>): void {
  for (const [name, text] of Object.entries(files)) writeFileSync(join(folder, name), text)
}

async function opened(name: string) {
  const path = join(folder, name), { sheet: file, machine, failures } = await readInputs(path)
  const read = await readStockSource(openScene(file, machine, failures))
  if (read === undefined) throw new Error('the sheet gives no stock')
  const stock = openStock(read.source, neverCancelled)
  return { volume: stock.simulation?.grid.volume(), frame: stock.simulation?.grid.frame, findings: [...read.findings, ...stock.findings] }
}

describe('stock that another set-up leaves', () => {
  write({
    'op10.setup.json': sheet('["op10-*.nc"]', '{ "box": { "min": [-20, -20, -20], "max": [20, 20, 0] }, "pitch": 0.5 }'),
    'op10-a.nc': slot(-10), 'op10-b.nc': slot(10),
  })

  test('is its box less what its programs cut, turned over', async () => {
    write({ 'op20.setup.json': sheet('["op20.nc"]', '{ "from": "op10.setup.json", "rotate": [180, 0, 0], "translate": [0, 0, -20], "pitch": 0.5 }') })
    const { volume, frame, findings } = await opened('op20.setup.json')
    expect(findings).toEqual([])
    expect(frame?.origin).toEqual([-20, -20, -20])
    expect(Math.abs((volume ?? 0) / (40 * 40 * 20 - 2 * 10 * 5 * 40) - 1)).toBeLessThan(0.01)
  })

  test('goes on over a third', async () => {
    write({ 'op30.setup.json': sheet('["op30.nc"]', '{ "from": "op20.setup.json", "pitch": 0.5 }'), 'op20.nc': slot(0) })
    const { volume, findings } = await opened('op30.setup.json')
    expect(findings).toEqual([])
    expect(Math.abs((volume ?? 0) / (40 * 40 * 20 - 3 * 10 * 5 * 40) - 1)).toBeLessThan(0.01)
  })

  test('is given up at once when nobody waits, and nothing is then wrong with it', async () => {
    const path = join(folder, 'op20.setup.json'), { sheet: file, machine, failures } = await readInputs(path)
    const read = await readStockSource(openScene(file, machine, failures))
    if (read === undefined) throw new Error('the sheet gives no stock')
    let asked = 0
    openStock(read.source, { cancelled: () => { asked++; return false } })
    for (const most of [0, 30, Math.floor(asked / 2)]) {
      let more = 0
      const stock = openStock(read.source, { cancelled: () => ++more > most })
      expect(stock).toEqual({ complete: false, findings: [] })
      // A look for each family and step that is left, but none for each ray.
      expect(more - most).toBeLessThan(200)
    }
  })

  test('that leads back to itself is said, with the way', async () => {
    write({ 'a.setup.json': sheet('["op20.nc"]', '{ "from": "b.setup.json" }'), 'b.setup.json': sheet('["op20.nc"]', '{ "from": "a.setup.json" }') })
    const { volume, findings } = await opened('a.setup.json')
    expect(volume).toBeUndefined()
    expect(findings.map(({ rule, message }) => [rule, message])).toContainEqual(['setup-error', expect.stringContaining('a.setup.json, then b.setup.json, then a.setup.json')])
    expect(findings.map(({ rule }) => rule)).toContain('not-checked')
  })

  test.each([
    ['a sheet that is not there', '{ "from": "gone.setup.json" }', {}, 'cannot be used'],
    ['one that gives no stock', '{ "from": "bare.setup.json" }', { 'bare.setup.json': `{ "programs": ["op20.nc"], "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150 } }, ${tools} }` }, 'gives no stock itself'],
    ['one whose programs are not there', '{ "from": "idle.setup.json" }', { 'idle.setup.json': sheet('["nothing.nc"]', '{ "box": { "min": [0, 0, 0], "max": [1, 1, 1] } }') }, 'none of its "programs" lies beside it'],
  ])('of %s is said', async (_, stock, files, words) => {
    write({ ...files, 'next.setup.json': sheet('["op20.nc"]', stock) })
    const { findings } = await opened('next.setup.json')
    expect(findings.map(({ message }) => message)).toContainEqual(expect.stringContaining(words))
  })
})
