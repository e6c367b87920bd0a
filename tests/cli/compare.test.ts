import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { readArguments } from '../../server/cli/arguments.ts'
import { runCompare } from '../../server/cli/compare-command.ts'
import { compareFiles } from '../../server/edge/compare-job.ts'
import { neverCancelled } from '../../shared/cancellation.ts'
import { PlateJob } from '../harness/plate-job.ts'
import { runToolwake } from '../harness/run-toolwake.ts'
import { paperTerminal, rules } from './hand-made.ts'
import { schemaFaults } from './sarif-schema.ts'

// `toolwake compare` as a process, on the plate: its program has one gouge, in N130.

let job: PlateJob
beforeAll(() => {
  job = new PlateJob()
  job.write('deeper.nc', job.program.replace('N120 X20.', 'N120 X35.\nN122 X33. Z-0.08\nN124 X31. Z0.\nN126 X20.'))
  job.write('renumbered.nc', job.program.replace(/N(\d+)/g, (_, number: string) => `N${Number(number) + 7}`).replace('X45. F800.', 'X45.000 F800. (OVER THE TOP)'))
  job.write('mended.nc', job.program.replace('Z-0.05', 'Z0.'))
})
afterAll(() => job.remove())

const compare = (...args: string[]) => runToolwake(['compare', ...args], { folder: job.folder })

interface Run {
  readonly results: readonly { readonly ruleId: string, readonly level: string, readonly baselineState?: string, readonly locations: readonly { readonly physicalLocation: { readonly artifactLocation: { readonly uri: string } } }[] }[]
  readonly properties: { readonly toolwake: { readonly comparison: { readonly changes: readonly { readonly toolPoint?: { readonly atMost: number } }[], readonly clearances: readonly { readonly component: string, readonly change: string }[], readonly findings: Readonly<Record<string, number>> } } }
}

async function compareSarif(...args: string[]): Promise<{ readonly code: number | null, readonly run: Run }> {
  const { code, output } = await compare(...args, '--format', 'sarif')
  const log = JSON.parse(output) as { readonly runs: readonly Run[] }
  expect(schemaFaults(log)).toEqual([])
  return { code, run: log.runs[0] }
}

describe('toolwake compare', () => {
  test('an edit that cuts deeper: verdict first, the new finding in full, the known one named; fails', async () => {
    const { code, output } = await compare('plate.nc', 'deeper.nc')
    expect(code).toBe(1)
    expect(output.split('\n').slice(0, 4)).toEqual([
      'deeper.nc compared with plate.nc', 'Both with the setup sheet plate.setup.json.', '',
      'The edit changes the motion in one place (up to 0.08 mm off, in line 15).',
    ])
    expect(output).toMatch(/NEW ERROR gouge {2}deeper\.nc:\d+/)
    expect(output).toMatch(/known before: ERROR gouge {2}deeper\.nc:18/)
    expect(output).toMatch(/Tool 1, cutter: 0\.0(49|50|51) mm into the part ± 0\.001 \(line 1[45]\) before, 0\.0(79|80|81) mm into the part ± 0\.001 \(line 15\) now: NEARER\./)
    expect(output).toContain('A clean result is no proof of a safe program.')
  })

  test('numbers, comments and spelling are no change, and a finding that was there does not fail', async () => {
    const { code, output } = await compare('plate.nc', 'renumbered.nc')
    expect(code).toBe(0)
    expect(output).toContain('The edit changes no motion, feed, speed, tool or offset: only numbers, comments or the way in which the same motion is written.')
    expect(output).toContain('No finding is new, none is gone.')
  })

  test('SARIF: valid, with a baseline state on every result, those that are gone placed in the old program', async () => {
    const deeper = await compareSarif('plate.nc', 'deeper.nc')
    expect(deeper.code).toBe(1)
    expect(deeper.run.results.map(({ ruleId, baselineState }) => `${ruleId} ${baselineState}`).sort()).toEqual(['gouge new', 'gouge unchanged'])
    const { changes, clearances, findings } = deeper.run.properties.toolwake.comparison
    expect(changes).toHaveLength(1)
    expect(changes[0].toolPoint?.atMost).toBeCloseTo(0.08, 3)
    expect(clearances).toContainEqual(expect.objectContaining({ component: 'cutter', change: 'nearer' }))
    expect(findings).toMatchObject({ new: 1, unchanged: 1, absent: 0 })

    const mended = await compareSarif('plate.nc', 'mended.nc')
    expect(mended.code).toBe(0)
    expect(mended.run.results.map(({ ruleId, baselineState, locations }) => [ruleId, baselineState, locations[0].physicalLocation.artifactLocation.uri])).toEqual([['gouge', 'absent', 'plate.nc']])
  })

  test('the same words that come to cut deeper are graver, and fail', async () => {
    job.write('low.nc', job.program.replace('N50 S8000 M3', 'N45 G10 L2 P1 X0. Y0. Z-380.02\nN50 S8000 M3'))
    const { code, run } = await compareSarif('plate.nc', 'low.nc', '--setup', 'plate.setup.json')
    expect(run.results.filter(({ ruleId }) => ruleId === 'gouge').map(({ baselineState }) => baselineState)).toContain('updated')
    expect(run.properties.toolwake.comparison.findings.graver).toBeGreaterThan(0)
    expect(code).toBe(1)
  })

  test('the output does not depend on the number of threads', async () => {
    const [one, three] = await Promise.all(['1', '3'].map(threads => compare('plate.nc', 'deeper.nc', '--format', 'sarif', '--threads', threads)))
    expect(three.output).toBe(one.output)
  })

  test.each<[string, string[], RegExp]>([
    ['one program alone', ['plate.nc'], /Two programs are compared, the old one first/],
    ['a program that is not there', ['gone.nc', 'plate.nc'], /The program gone\.nc is not there/],
    ['one of them as the output', ['plate.nc', 'deeper.nc', '--output', 'plate.nc'], /would be written over/],
    ['a folder', ['.', 'plate.nc'], /is a folder/],
  ])('%s cannot be compared: exit code 2', async (_what, args, words) => {
    const ended = await compare(...args)
    expect(ended).toMatchObject({ code: 2, output: '' })
    expect(ended.errors).toMatch(words)
  })

  test('a sheet that changes while it compares is told, in text and SARIF', async () => {
    job.write('rough.setup.json', '{ "programs": ["rough*.nc"] }')
    for (const name of ['rough.nc', 'rough-2.nc']) job.write(name, 'G21 G90 G54\nM30\n')
    for (const format of ['text', 'sarif']) {
      const read = readArguments(['compare', 'rough.nc', 'rough-2.nc', '--format', format]), terminal = paperTerminal({ folder: job.folder })
      if (read.kind !== 'compare') throw new Error('not a comparison')
      await runCompare(read.options, terminal, {
        compareFiles: async request => {
          const result = await compareFiles(request)
          job.write('rough.setup.json', `{ "programs": ["rough*.nc"] } // ${format}`)
          return result
        },
        rules, version: '1.2.3', now: () => 0, cancellation: neverCancelled, threads: 1,
      })
      expect(terminal.written.output).toContain('rough.setup.json has changed on the disk while this was checked')
      if (format === 'sarif') expect(schemaFaults(JSON.parse(terminal.written.output) as object)).toEqual([])
    }
  })
})
