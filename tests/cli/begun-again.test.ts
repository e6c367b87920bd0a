import { spawn } from 'node:child_process'
import { cpSync, existsSync, mkdirSync, readdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { setTimeout as wait } from 'node:timers/promises'
import { afterEach, beforeEach, expect, test } from 'vitest'
import { packRecord, unpackRecord } from '../../server/edge/packed-record.ts'
import { ResultStore } from '../../server/edge/result-store.ts'
import { PlateJob } from '../harness/plate-job.ts'
import { builtCommand, runToolwake } from '../harness/run-toolwake.ts'

// A check of a folder that is broken off by force goes on from what is kept. To tell what comes back from what is searched
// again, each kept figure is made 1 mm deeper between the two runs: a program that shows it was not searched a second time.

const PROGRAMS = 40
let job: PlateJob
beforeEach(() => {
  job = new PlateJob()
  job.write('plate.setup.json', job.sheet.replace('"programs": ["plate.nc"]', '"programs": ["**"]'))
  mkdirSync(join(job.folder, 'archive'))
  // Each cuts to a depth of its own, so that none can live on what is kept of another.
  for (let n = 0; n < PROGRAMS; n++) writeFileSync(join(job.folder, 'archive', `p${n}.nc`), job.program.replace('Z-0.05', `Z-${(0.05 + n / 1000).toFixed(3)}`))
})
afterEach(() => job.remove())

const keptIn = (cache: string) => existsSync(join(cache, 'toolwake')) ? readdirSync(join(cache, 'toolwake')).filter(name => /^figures-.*\.kept$/.test(name)) : []

/** Begins the check and ends it without warning once some programs are done. */
async function breakOff(cache: string): Promise<void> {
  const child = spawn(process.execPath, [builtCommand, 'check', 'archive', '--threads', '1'], { cwd: job.folder, env: { ...process.env, XDG_CACHE_HOME: cache }, stdio: 'ignore' })
  const ended = new Promise<string | null>(resolve => child.once('exit', (_code, signal) => resolve(signal)))
  while (child.exitCode === null && keptIn(cache).length < 3) await wait(5)
  child.kill('SIGKILL')
  expect(await ended).toBe('SIGKILL')
}

function deepen(cache: string): void {
  const store = new ResultStore({ folder: join(cache, 'toolwake'), limit: 1e9 }, sentence => { throw new Error(sentence) })
  for (const key of keptIn(cache).map(name => name.slice('figures-'.length, -'.kept'.length))) {
    const bytes = store.read('figures', key)
    if (bytes === undefined) throw new Error(`what is kept as ${key} is not whole`)
    const { words, arrays } = unpackRecord(bytes)
    const deeper = (list: unknown) => list instanceof Float64Array ? list.map(value => value < 0 ? value - 1 : value) : new Float64Array()
    store.write('figures', key, [...packRecord(words, { ...arrays, value: deeper(arrays['value']), certified: deeper(arrays['certified']) })])
  }
}

const deepened = (output: string) => output.match(/cutter cuts 1\.\d+ mm/g)?.length ?? 0

test('a folder that is begun again: what was done is not searched again, and the result is that of one run', async () => {
  const cache = join(job.folder, 'cache'), copy = join(job.folder, 'copy')
  await breakOff(cache)
  const done = keptIn(cache).length
  expect(done).toBeGreaterThanOrEqual(3)
  expect(done).toBeLessThan(PROGRAMS)
  cpSync(cache, copy, { recursive: true })

  const again = await runToolwake(['check', 'archive'], { folder: job.folder, cache })
  const fresh = await runToolwake(['check', 'archive', '--no-cache'], { folder: job.folder })
  expect([again.code, again.output, again.errors]).toEqual([fresh.code, fresh.output, fresh.errors])
  expect(deepened(fresh.output)).toBe(0)
  expect(keptIn(cache)).toHaveLength(PROGRAMS)

  deepen(copy)
  const { output } = await runToolwake(['check', 'archive'], { folder: job.folder, cache: copy })
  expect(deepened(output)).toBe(done)
  expect(keptIn(copy)).toHaveLength(PROGRAMS)
}, 120_000)
