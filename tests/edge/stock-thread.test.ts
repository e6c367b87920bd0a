import { afterEach, expect, test, vi } from 'vitest'
import { neverCancelled } from '../../shared/cancellation.ts'
import { StockThread } from '../../server/edge/stock-thread.ts'
import { openScene, openStock, readProgram, stockInputOf } from '../../server/engine/service.ts'

// Where the system has no thread to give, the stock is followed in this one, and comes to the same.

const sheet = `{
  "programs": ["slot.nc"], "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150 } }, "stock": { "box": { "min": [-20, -20, -20], "max": [20, 20, 0] }, "pitch": 0.5 },
  "tools": [{ "number": 1, "name": "flat 10", "cutter": { "shape": "flat", "DC": 10, "LCF": 22 }, "LPR": 40, "holder": [{ "diameter": 30, "length": 30 }] }]
}`
const ways = Array.from({ length: 400 }, (_, i) => `X${i % 2 === 0 ? 15 : -15} Y${(-15 + 30 * i / 400).toFixed(3)}`).join('\n')
const text = `T1 M6\nG21 G17 G90 G94 G54 S8000 M3\nG0 G43 H1 X-30. Y-15. Z5.\nZ-3.\nG1 F500\n${ways}\nG0 Z5.\nM30\n`
const scene = openScene({ path: 'slot.setup.json', text: sheet }, undefined), program = readProgram({ path: 'slot.nc', text }, scene)
const withoutThreads = (said: string[]) => new StockThread({ scene }, { start: () => { throw new Error('no more threads') }, log: sentence => said.push(sentence) })

afterEach(() => { vi.unstubAllGlobals() })

test('without a thread the stock is followed here, comes to the same, and that is said', async () => {
  const said: string[] = [], thread = withoutThreads(said), input = stockInputOf(program, scene)
  if (input === undefined) throw new Error('the sheet cannot be used')
  const turns: number[] = [], began = performance.now()
  const others = setInterval(() => turns.push(performance.now()), 1)
  const figures = await thread.run(program, scene, neverCancelled)
  clearInterval(others)
  expect(figures).toEqual(openStock({ scene }, neverCancelled).simulation?.run(input))
  expect(figures?.removed.reduce((sum, volume) => sum + volume, 0)).toBeGreaterThan(1000)
  expect(said).toEqual(['No thread could be started to follow the stock (no more threads); it is followed beside everything else and takes longer.'])
  // Others had their turn while it ran.
  expect(turns.some(turn => turn > began)).toBe(true)
  expect(await thread.surface(program, 0, 1000)).toBeInstanceOf(Float32Array)
  await thread.dispose()
  await expect(thread.run(program, scene, neverCancelled)).rejects.toThrow('the stock is no longer followed')
})

test('and where there is no memory to share', async () => {
  vi.stubGlobal('SharedArrayBuffer', undefined)
  const said: string[] = [], thread = new StockThread({ scene }, { log: sentence => said.push(sentence) })
  const figures = await thread.run(program, scene, neverCancelled)
  expect([figures?.done, said.length]).toEqual([program.toolpath.count, 1])
  expect(said[0]).toContain('there is no memory to share with a thread')
})

test('it ends when nobody waits any more, and the next program is followed from the start', async () => {
  const thread = withoutThreads([])
  let asked = 0
  expect(await thread.run(program, scene, { cancelled: () => ++asked > 2 })).toBeUndefined()
  expect((await thread.run(program, scene, neverCancelled))?.done).toBe(program.toolpath.count)
})
