import { spawn } from 'node:child_process'
import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
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
    ['a setup sheet', ['new-setup', 'plate.nc', '--output', fullDisk, '--force']],
  ]
  test.each(calls)('%s: one sentence, exit code 2', async (_what, args) => {
    if (!existsSync(fullDisk)) throw new Error(`${fullDisk} is not there: this test needs a system that has it`)
    const ended = await toolwake(...args)
    expect(ended.code).toBe(2)
    expect(ended.errors).toContain(`could not be written to ${fullDisk}: the disk is full.`)
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

