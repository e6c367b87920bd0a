import { execFileSync } from 'node:child_process'
import { existsSync, mkdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, test } from 'vitest'
import { PlateJob } from '../harness/plate-job.ts'
import { runToolwake } from '../harness/run-toolwake.ts'
import { schemaFaults } from './sarif-schema.ts'

// The check as a gate before release: a baseline, what has changed, a folder in shares.

let job: PlateJob
beforeEach(() => {
  job = new PlateJob()
  job.write('plate.setup.json', job.sheet.replace('"programs": ["plate.nc"]', '"programs": ["**"]'))
})
afterEach(() => job.remove())

const toolwake = (...args: string[]) => runToolwake(args, { folder: job.folder })
const read = (name: string) => readFileSync(join(job.folder, name), 'utf8')
const clean = () => job.program.replace('Z-0.05', 'Z0.')

interface Result { readonly ruleId: string, readonly baselineState?: string, readonly locations: readonly { readonly physicalLocation: { readonly artifactLocation: { readonly uri: string } } }[] }

function resultsOf(sarif: string): Result[] {
  const log = JSON.parse(sarif) as { readonly runs: readonly { readonly results: Result[] }[] }
  expect(schemaFaults(log)).toEqual([])
  return log.runs[0].results
}

const states = (sarif: string) => resultsOf(sarif).map(({ ruleId, baselineState }) => `${ruleId} ${baselineState}`).sort()

describe('a baseline', () => {
  test('what is written down as known does not fail; what is new does; what is gone is told', async () => {
    expect((await toolwake('check', 'plate.nc')).code).toBe(1)
    const written = await toolwake('check', 'plate.nc', '--write-baseline', 'known.sarif', '--format', 'sarif')
    expect(written.code).toBe(0)
    expect(resultsOf(read('known.sarif')).map(({ ruleId }) => ruleId)).toEqual(['gouge'])

    const again = await toolwake('check', 'plate.nc', '--baseline', 'known.sarif', '--format', 'sarif')
    expect([again.code, states(again.output)]).toEqual([0, ['gouge unchanged']])

    job.write('plate.nc', job.program.replace(/N(\d+)/g, (_, n: string) => `N${Number(n) + 3}`).replace('X20.', 'X20. G777'))
    const edited = await toolwake('check', 'plate.nc', '--baseline', 'known.sarif', '--format', 'sarif', '--fail-on', 'warning')
    expect(edited.code).toBe(1)
    expect(states(edited.output)).toContain('gouge unchanged')
    expect(states(edited.output)).toContain('unknown-code new')

    job.write('plate.nc', clean())
    const mended = await toolwake('check', 'plate.nc', '--baseline', 'known.sarif', '--format', 'sarif')
    expect([mended.code, states(mended.output)]).toEqual([0, ['gouge absent']])
    expect((await toolwake('check', 'plate.nc', '--baseline', 'known.sarif')).output).toContain('gone: gouge  plate.nc:15:')
  })

  test('the same block that comes to cut deeper is graver, and fails', async () => {
    await toolwake('check', 'plate.nc', '--write-baseline', 'known.sarif')
    job.write('plate.setup.json', read('plate.setup.json').replace('"mesh": "plate.stl",', '"mesh": "plate.stl", "translate": [0, 0, 0.1],'))
    const deeper = await toolwake('check', 'plate.nc', '--baseline', 'known.sarif')
    expect(deeper.code).toBe(1)
    expect(deeper.output).toMatch(/(GRAVER|NEW) ERROR gouge/)
  })

  test.each<[string, string, RegExp]>([
    ['not there', '', /The SARIF file gone\.sarif is not there/],
    ['not JSON', 'G0 X1', /is no SARIF file: it is not JSON/],
    ['not SARIF', '{ "version": "2.1.0" }', /is no SARIF 2\.1\.0 file/],
    ['another program\'s', '{ "version": "2.1.0", "runs": [{ "tool": { "driver": { "name": "Other" } }, "results": [] }] }', /was not written by toolwake/],
  ])('a baseline that is %s: exit code 2', async (_what, content, words) => {
    const name = content === '' ? 'gone.sarif' : 'bad.sarif'
    if (content !== '') job.write(name, content)
    const ended = await toolwake('check', 'plate.nc', '--baseline', name)
    expect(ended).toMatchObject({ code: 2, output: '' })
    expect(ended.errors).toMatch(words)
  })
})

/** Programs in folders: one with a gouge in each second. */
function archive(programs: number): void {
  for (let n = 0; n < programs; n++) {
    const folder = join(job.folder, 'archive', `job ${n % 3}`)
    mkdirSync(folder, { recursive: true })
    writeFileSync(join(folder, `p${n}.nc`), (n % 2 === 0 ? job.program : clean()).replace('O0012', `O${100 + n}`))
  }
}

describe('a folder', () => {
  test('stands for the programs in it and below, with a summary of those that fail', async () => {
    archive(5)
    job.write('archive/job 0/notes.txt', 'no program')
    const { code, output } = await toolwake('check', 'archive')
    expect(code).toBe(1)
    expect(output).toContain('Summary of 5 programs:\n  archive/job 0/p0.nc: 1 error\n  archive/job 1/p4.nc: 1 error\n  archive/job 2/p2.nc: 1 error\n  2 programs more: nothing found in what was checked')
    const some = await toolwake('check', 'archive/*/p[13].nc', 'archive/**/p3.nc', 'archive/job 1')
    expect([some.code, some.errors]).toEqual([2, 'toolwake: No file fits archive/*/p[13].nc.\n'])
    expect((await toolwake('check', 'archive/**/p3.nc', 'archive/job ?/p1.nc')).output).toContain('Summary of 2 programs:')
  })

  test('in shares, put together again: the file of one run, byte for byte, in whatever order they are named', async () => {
    archive(7)
    job.write('archive/job 2/broken.nc', '')
    const whole = await toolwake('check', 'archive', '--format', 'sarif', '--output', 'whole.sarif')
    expect(whole.code).toBe(2)
    const shares = await Promise.all([1, 2, 3].map(n => toolwake('check', 'archive', '--shard', `${n}/3`, '--format', 'sarif', '--output', `shard-${n}.sarif`)))
    expect(shares.map(({ code }) => code).sort()).toContain(2)
    const merged = await toolwake('merge', 'shard-3.sarif', 'shard-1.sarif', 'shard-2.sarif', '--output', 'merged.sarif')
    expect(merged).toMatchObject({ code: 2, errors: 'toolwake: Merged 3 files: 8 programs, 5 results.\n' })
    expect(read('merged.sarif')).toBe(read('whole.sarif'))
    expect((await toolwake('merge', 'shard-2.sarif', 'shard-3.sarif', 'shard-1.sarif', 'shard-2.sarif')).output).toBe(read('whole.sarif'))
  })

  test('what is found in a program does not depend on those checked before it, with its sheet or with another', async () => {
    archive(6)
    job.write('archive/job 1/own.setup.json', read('plate.setup.json').replace('"plate.stl"', '"../../plate.stl"').replace('"duct.machine.json"', '"../../duct.machine.json"').replace('0.01', '0.2'))
    const whole = await toolwake('check', 'archive', '--format', 'sarif')
    expect(resultsOf(whole.output).map(({ locations }) => locations[0].physicalLocation.artifactLocation.uri)).toEqual(['archive/job%200/p0.nc', 'archive/job%202/p2.nc'])
    for (const n of [1, 2, 3, 4, 5, 6]) await toolwake('check', 'archive', '--shard', `${n}/6`, '--format', 'sarif', '--output', `alone-${n}.sarif`)
    expect((await toolwake('merge', ...[1, 2, 3, 4, 5, 6].map(n => `alone-${n}.sarif`))).output).toBe(whole.output)
  })

  test('files that do not fit together are turned away', async () => {
    archive(2)
    await toolwake('check', 'archive', '--format', 'sarif', '--output', 'before.sarif')
    job.write('archive/job 0/p0.nc', clean())
    await toolwake('check', 'archive', '--format', 'sarif', '--output', 'after.sarif')
    const ended = await toolwake('merge', 'before.sarif', 'after.sarif')
    expect(ended).toMatchObject({ code: 2, output: '' })
    expect(ended.errors).toContain('before.sarif and after.sarif say different things of archive/job%200/p0.nc')
    expect((await toolwake('merge', 'plate.nc')).errors).toContain('plate.nc is no SARIF file')
  })
})

/** git with nothing of this computer's settings. */
function git(...args: string[]): string {
  return execFileSync('git', ['-c', 'user.name=Somebody', '-c', 'user.email=somebody@example.org', '-c', 'commit.gpgsign=false', ...args], { cwd: job.folder, encoding: 'utf8' })
}

function committed(): void {
  git('init', '--quiet')
  git('add', '.')
  git('commit', '--quiet', '--message', 'All as it was')
}

describe('what has changed since a revision', () => {
  const chosen = async () => {
    const { code, output, errors } = await toolwake('check', 'archive', '--changed-since', 'HEAD', '--format', 'sarif')
    const { runs } = JSON.parse(output || '{ "runs": [] }') as { readonly runs: readonly { readonly properties: { readonly toolwake: { readonly program?: string, readonly programs?: readonly { readonly program: string }[] } } }[] }
    const toolwakeOf = runs[0]?.properties.toolwake
    return { code, errors, programs: toolwakeOf?.program === undefined ? toolwakeOf?.programs?.map(({ program }) => program) : [toolwakeOf.program] }
  }

  test('nothing: nothing is checked, which is said', async () => {
    archive(3)
    committed()
    expect(await chosen()).toEqual({ code: 0, errors: '', programs: [] })
    const { output } = await toolwake('check', 'archive', '--changed-since', 'HEAD')
    expect(output).toContain('0 of 3 programs; the others were not looked at.')
    expect(output).toContain('No program was checked.')
  })

  test('a program, a new one that git does not know yet, and a program that is called', async () => {
    archive(3)
    committed()
    job.write('archive/job 1/p1.nc', job.program)
    job.write('archive/job 2/fresh.nc', clean())
    expect(await chosen()).toMatchObject({ code: 1, programs: ['archive/job%201/p1.nc', 'archive/job%202/fresh.nc'] })
    job.write('archive/job 0/O900.nc', 'O900\nG1 X1.\nM99\n')
    expect((await chosen()).programs).toContain('archive/job%200/p0.nc')
  })

  test.each<[string, () => void]>([
    ['the sheet', () => job.write('plate.setup.json', read('plate.setup.json').replace('0.01', '0.02'))],
    ['the machine file', () => job.write('duct.machine.json', `${read('duct.machine.json')}\n`)],
    ['the mesh', () => job.write('plate.stl', `${read('plate.stl')}\n`)],
    ['a sheet that is gone', () => rmSync(join(job.folder, 'plate.setup.json'))],
    ['a sheet that was given another name', () => renameSync(join(job.folder, 'plate.setup.json'), join(job.folder, 'other.setup.json'))],
  ])('%s concerns every program that is checked with it', async (_what, change) => {
    archive(3)
    committed()
    change()
    expect((await chosen()).programs).toHaveLength(3)
  })

  test('a revision that git does not know, and a folder without git: one sentence', async () => {
    archive(1)
    expect((await chosen()).errors).toContain('this folder is not in a working tree of git')
    committed()
    for (const revision of ['no-such-branch', '--output=x', '-p']) {
      const ended = await toolwake('check', 'archive', `--changed-since=${revision}`)
      expect(ended).toMatchObject({ code: 2, output: '' })
      expect(ended.errors).toContain('git knows no revision')
    }
    expect(existsSync(join(job.folder, 'x'))).toBe(false)
  })
})
