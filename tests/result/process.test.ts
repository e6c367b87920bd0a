import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, describe, expect, test } from 'vitest'
import { PlateJob } from '../harness/plate-job.ts'
import { runToolwake } from '../harness/run-toolwake.ts'

// The built command line over a plate of 40 by 30 by 10 mm whose upper face is cut by a flat cutter of 10 mm
// in two strips, from a box that stands 2 mm over it. What is left follows by hand.

const job = new PlateJob()
job.write('plate.setup.json', job.sheet
  .replace('"limits": { "gouge": 0.01 }', '"limits": { "gouge": 0.01 }, "stock": { "box": { "min": [0, 0, -10], "max": [40, 30, 2] } }')
  .replace('"cutter": { "shape": "ball", "DC": 6, "LCF": 10 }', '"cutter": { "shape": "flat", "DC": 10, "LCF": 10 }')
  .replace('"shank": { "DCONMS": 6 }', '"shank": { "DCONMS": 10 }'))
afterAll(() => job.remove())

const strips = (more: readonly string[]) => [
  '%', 'N10 T1 M6', 'N20 G21 G17 G90 G94 G40 G49 G54', 'N30 S8000 M3', 'N40 G0 A0. C0.', 'N50 G0 G43 H1 X-8. Y5. Z20.', 'N60 G1 Z0. F500',
  'N70 X48.', ...more, 'N100 G0 Z20.', 'N110 M30', '%', '',
].join('\n')
const gap = strips(['N80 Y25.', 'N90 X-8.'])

interface Log { runs: { results: { ruleId: string, level: string, properties?: Record<string, unknown> }[], properties: { toolwake: Record<string, Record<string, number>> } }[] }

describe('toolwake check tells what is left', () => {
  test('a strip of 10 mm stands 2 mm high over its whole surface', async () => {
    const { stdout, code } = await check(gap, '--format', 'sarif')
    const run = (JSON.parse(stdout) as Log).runs[0]
    const left = run.results.filter(({ ruleId }) => ['leftover', 'scallop', 'undercut-unreached'].includes(ruleId))
    expect(left.map(({ ruleId, level }) => [ruleId, level])).toEqual([['leftover', 'warning']])
    const { height, area, bound, allowed, point } = left[0].properties as { height: number, area: number, bound: number, allowed: number, point: number[] }
    expect(height).toBeCloseTo(2, 6)
    expect(bound).toBeLessThan(0.001)
    expect(allowed).toBe(0.05)
    // The strip of 40 by 10 mm, but for the round end of the cut at one side, which lies beyond the plate's end.
    expect(Math.abs(area - 400)).toBeLessThan(6)
    expect(point[2]).toBe(0)
    expect(run.properties.toolwake['leftover']['max']).toBeCloseTo(0, 3)
    expect(run.properties.toolwake['overcut']['max']).toBeLessThan(0.001)
    expect(code).toBe(0)
  })

  test('nothing is left once the strip is cut too', async () => {
    const { stdout } = await check(strips(['N80 Y15.', 'N85 X-8.', 'N90 Y25.', 'N95 X48.']), '--format', 'sarif')
    const run = (JSON.parse(stdout) as Log).runs[0]
    expect(run.results.filter(({ ruleId }) => ['leftover', 'scallop', 'undercut-unreached'].includes(ruleId))).toEqual([])
    expect(run.properties.toolwake['leftover']['area']).toBe(0)
  })

  test('the words do not depend on the threads; part of a program measures nothing', async () => {
    const one = await check(gap, '--threads', '1'), two = await check(gap, '--threads', '2')
    expect(two.stdout).toBe(one.stdout)
    expect(one.stdout).toContain('Left on the part: passes come near')
    expect(one.stdout).not.toContain('several convex pieces')
    expect((await check(gap, '--blocks', 'N60..N80')).stdout).toContain('was not measured: part of a program says nothing about it')
  })

  test('a sheet that states neither a limit for it nor the stock asks for nothing, and that is said', async () => {
    job.write('silent.json', job.sheet)
    const { stdout } = await check(gap, '--setup', 'silent.json')
    expect(stdout).toContain('was not measured: the sheet states neither limits.leftover nor a stock')
    expect(stdout).toContain('Not looked at: stock and material left standing,')
    const log = JSON.parse((await check(gap, '--setup', 'silent.json', '--format', 'sarif')).stdout) as Log
    expect(Object.keys(log.runs[0].properties.toolwake)).not.toContain('leftover')
    job.write('limit.json', job.sheet.replace('"gouge": 0.01 }', '"gouge": 0.01, "leftover": 0.02 }'))
    const asked = (await check(gap, '--setup', 'limit.json')).stdout
    expect(asked).toContain('Left on the part: passes come near')
    expect(asked).toContain('Not looked at: stock that is still to be cut,')
  })

  test('of a cutter made of several convex pieces the deepest cut is called the least it can be, in the text, in the data and in the record', async () => {
    const least = 'A cutter here is made of several convex pieces: where one lies wholly below the surface, the cut is deeper than this says.'
    job.write('lollipop.json', job.sheet.replace('"gouge": 0.01 }', '"gouge": 0.01, "leftover": 0.02 }').replace('"shape": "ball", "DC": 6, "LCF": 10', '"shape": "lollipop", "DC": 6, "DN": 4, "LCF": 10'))
    expect((await check(gap, '--setup', 'lollipop.json')).stdout).toContain(least)
    const log = JSON.parse((await check(gap, '--setup', 'lollipop.json', '--format', 'sarif')).stdout) as Log
    expect(log.runs[0].properties.toolwake['overcut']).toHaveProperty('atLeast', true)
    await runToolwake(['report', 'plate.nc', '--setup', 'lollipop.json', '--output', 'record.html'], { folder: job.folder })
    expect(readFileSync(join(job.folder, 'record.html'), 'utf8')).toContain(least)
  })

  test('a waiver accepts what is left, up to its figure', async () => {
    const accepted = (figure: string) => gap.replace('N90 X-8.', `N90 X-8. (ACCEPT leftover ${figure}: SAWN OFF LATER)`)
    expect((await check(accepted('2'), '--fail-on', 'warning')).stdout).toContain('Accepted in the program: SAWN OFF LATER')
    expect((await check(accepted('1.9'), '--fail-on', 'warning')).code).toBe(1)
  })
})

async function check(program: string, ...more: string[]): Promise<{ stdout: string, code: number | null }> {
  job.write('plate.nc', program)
  const { output, code } = await runToolwake(['check', 'plate.nc', ...more], { folder: job.folder })
  return { stdout: output, code }
}
