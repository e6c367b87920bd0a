import { spawn, spawnSync } from 'node:child_process'
import { closeSync, existsSync, mkdirSync, openSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterEach, beforeEach, describe, expect, test } from 'vitest'
import { PlateJob } from '../harness/plate-job.ts'
import { builtCommand, runToolwake } from '../harness/run-toolwake.ts'

// What can happen to a file while it is written, and to the process that writes it: nothing that was there is lost.

const duct = fileURLToPath(new URL('../../samples/duct/throat-edited.nc', import.meta.url))

let job: PlateJob
beforeEach(() => { job = new PlateJob() })
afterEach(() => job.remove())

const toolwake = (...args: string[]) => runToolwake(args, { folder: job.folder })
const fullDisk = '/dev/full'

describe('a full disk', () => {
  const calls: readonly [string, string[]][] = [
    ['the findings', ['check', 'plate.nc', '--output', fullDisk]],
    ['a baseline', ['check', 'plate.nc', '--write-baseline', fullDisk]],
    ['a comparison', ['compare', 'plate.nc', 'plate.nc', '--output', fullDisk]],
    ['a release record', ['report', 'plate.nc', '--output', fullDisk]],
    ['a mended program', ['mend', 'plate.nc', '--output', fullDisk]],
    ['a setup sheet', ['new-setup', 'plate.nc', '--output', fullDisk, '--force']],
  ]
  test.each(calls)('%s: one sentence, exit code 2', async (_what, args) => {
    if (!existsSync(fullDisk)) throw new Error(`${fullDisk} is not there: this test needs a system that has it`)
    const ended = await toolwake(...args)
    expect(ended.code).toBe(2)
    expect(ended.errors).toContain(`could not be written to ${fullDisk}: the disk is full.`)
  })

  test('behind standard output: one sentence and exit code 2, also where standard error lies there too', () => {
    const run = (errors: number | 'pipe') => {
      const output = openSync(fullDisk, 'w')
      try {
        return spawnSync(process.execPath, [builtCommand, 'check', 'plate.nc'], { cwd: job.folder, encoding: 'utf8', stdio: ['ignore', output, errors] })
      } finally {
        closeSync(output)
      }
    }
    expect(run('pipe')).toMatchObject({ status: 2, stderr: 'toolwake: The output could not be written as a whole: the disk is full.\n' })
    const full = openSync(fullDisk, 'w')
    try {
      expect(run(full)).toMatchObject({ status: 2, signal: null })
    } finally {
      closeSync(full)
    }
  })

  test('or anything else that keeps results from being kept: the same findings, and one sentence', async () => {
    const cache = join(job.folder, 'cache')
    mkdirSync(cache)
    // A file in the place of the folder fails every write, as a disk without room does; making such a disk needs rights that a test may not have.
    writeFileSync(join(cache, 'toolwake'), '')
    const ended = await runToolwake(['check', 'plate.nc'], { folder: job.folder, cache }), fresh = await toolwake('check', 'plate.nc', '--no-cache')
    expect([ended.code, ended.output]).toEqual([fresh.code, fresh.output])
    expect(ended.errors).toMatch(/^toolwake: Results are not kept for the next time: the folder .+ cannot be written \(.+\)\.\n$/)
  })
})

test('killed in the middle of a check, the process leaves the file it was to write as it was, and nothing beside it', async () => {
  writeFileSync(join(job.folder, 'findings.sarif'), 'what was there')
  const child = spawn(process.execPath, [builtCommand, 'check', duct, '--format', 'sarif', '--output', 'findings.sarif', '--threads', '1'], { cwd: job.folder })
  const ended = new Promise<string | null>(resolve => child.once('exit', (_code, signal) => resolve(signal)))
  setTimeout(() => child.kill('SIGKILL'), 700)
  expect(await ended).toBe('SIGKILL')
  expect(readFileSync(join(job.folder, 'findings.sarif'), 'utf8')).toBe('what was there')
  expect(readdirSync(job.folder).filter(name => name.endsWith('.part'))).toEqual([])
})

