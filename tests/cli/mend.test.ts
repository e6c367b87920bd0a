import { createHash } from 'node:crypto'
import { copyFileSync, readFileSync, symlinkSync, writeFileSync, existsSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { PlateJob } from '../harness/plate-job.ts'
import { runToolwake } from '../harness/run-toolwake.ts'
import { schemaFaults } from './sarif-schema.ts'

// `toolwake mend` as a process, on the plate.

const job = new PlateJob()
const toolwake = (...args: string[]) => runToolwake(args, { folder: job.folder })
const read = (name: string) => readFileSync(join(job.folder, name))

beforeAll(() => {
  // A comment that is no UTF-8, and line ends of another system: both stay.
  writeFileSync(join(job.folder, 'latin.nc'), Buffer.from(job.program.replace('(PLATE', '(GR\u00d6SSE, PLATE').replaceAll('\n', '\r\n'), 'latin1'))
  writeFileSync(join(job.folder, 'mark.nc'), Buffer.concat([Buffer.from([0xef, 0xbb, 0xbf]), Buffer.from(job.program)]))
})
afterAll(() => job.remove())

describe('toolwake mend', () => {
  test('writes the mended program, says what was changed and proven, and what is found in it now', async () => {
    const { code, output, errors } = await toolwake('mend', 'plate.nc', '--output', 'mended.nc')
    expect(errors).toBe('')
    expect(code).toBe(0)
    expect(read('mended.nc').toString()).toBe(job.program.replace('Z-0.05', 'Z0.'))
    expect(output).toMatch(/^plate\.nc to mended\.nc: 1 place mended in 1 block, 0 left as they were$/m)
    expect(output).toMatch(/^MENDED gouge {2}N130 to N140, lines 15 to 16$/m)
    expect(output).toMatch(/^ {2}lift: 0\.050 mm off the surface$/m)
    expect(output).toMatch(/^ {2}cutter against part: 0\.05\d mm deep ± 0\.001 before, 0\.00\d mm deep ± 0\.001 after \(proven\); limit 0\.010 mm deep$/m)
    expect(output).toMatch(/^ {2}N130: Z-0\.05 -> Z0\.$/m)
    expect(output).toContain('A clean result is no proof of a safe program.')
  })

  test('the program itself is written over only where it is named as the output', async () => {
    copyFileSync(join(job.folder, 'plate.nc'), join(job.folder, 'own.nc'))
    expect((await toolwake('mend', 'own.nc', '--setup', 'plate.setup.json', '--output', 'own.nc')).code).toBe(0)
    expect(read('own.nc').toString()).toContain('N130 X15. Z0.')
    expect(await toolwake('mend', 'plate.nc')).toMatchObject({ code: 2, output: '' })
    const sheet = await toolwake('mend', 'plate.nc', '--setup', 'plate.setup.json', '--output', 'plate.setup.json')
    expect(sheet).toMatchObject({ code: 2, output: '' })
    expect(read('plate.setup.json').toString()).toBe(job.sheet)
  })

  test('standard output takes the program alone; what is told goes to standard error', async () => {
    const { code, output, errors } = await toolwake('mend', 'plate.nc', '--output', '-')
    expect(code).toBe(0)
    expect(output).toBe(job.program.replace('Z-0.05', 'Z0.'))
    expect(errors).toContain('1 place mended')
  })

  test.each(['latin.nc', 'mark.nc'])('%s keeps its bytes but for those of the changed word', async name => {
    await toolwake('mend', name, '--setup', 'plate.setup.json', '--output', 'out.nc')
    expect(read('out.nc').toString('latin1')).toBe(read(name).toString('latin1').replace('Z-0.05', 'Z0.'))
  })

  test('a program with nothing to mend comes out as it went in', async () => {
    writeFileSync(join(job.folder, 'clean.nc'), job.program.replace('Z-0.05', 'Z0.'))
    const { code, output } = await toolwake('mend', 'clean.nc', '--setup', 'plate.setup.json', '--output', 'same.nc')
    expect(code).toBe(0)
    expect(read('same.nc')).toEqual(read('clean.nc'))
    expect(output).toContain('nothing was found that a correction of the path could mend')
  })

  test('the exit code is that of a check of the mended program', async () => {
    writeFileSync(join(job.folder, 'more.nc'), job.program.replace(' F300.', ''))
    const mended = await toolwake('mend', 'more.nc', '--setup', 'plate.setup.json', '--output', 'more-mended.nc')
    const checked = await toolwake('check', 'more-mended.nc', '--setup', 'plate.setup.json')
    expect([mended.code, checked.code]).toEqual([1, 1])
    expect(mended.output).toContain('missing-feed')
    // The findings are told as by a check, but for the file's name in them.
    expect(mended.output).toContain(checked.output.slice(checked.output.indexOf('ERROR')))
  })

  test('the output does not depend on the number of threads', async () => {
    const [one, two] = await Promise.all(['1', '2'].map(threads => toolwake('mend', 'plate.nc', '--output', `by-${threads}.nc`, '--threads', threads)))
    expect(two.output.replaceAll('by-2', 'by-1')).toBe(one.output)
    expect(read('by-1.nc')).toEqual(read('by-2.nc'))
  })

  test('a link that is named as the output keeps leading where it led', async () => {
    writeFileSync(join(job.folder, 'target.nc'), 'old')
    symlinkSync(join(job.folder, 'target.nc'), join(job.folder, 'link.nc'))
    await toolwake('mend', 'plate.nc', '--output', 'link.nc')
    expect(read('target.nc').toString()).toContain('N130 X15. Z0.')
    expect(existsSync(join(job.folder, `.target.nc.part`))).toBe(false)
  })

  test('SARIF of the mended program, and of a check with its fixes', async () => {
    const mended = JSON.parse((await toolwake('mend', 'plate.nc', '--output', 'sarif.nc', '--format', 'sarif')).output) as { runs: { properties: { toolwake: { mend: object } } }[] }
    expect(schemaFaults(mended)).toEqual([])
    // The list of changes, in the program as it was; what the proof reaches and what not.
    expect(mended.runs[0].properties.toolwake.mend).toMatchObject({
      old: { uri: 'plate.nc', sha256: createHash('sha256').update(job.program).digest('hex') }, refused: [], reach: [],
      mended: [{
        rules: ['gouge'], firstLine: 15, lastLine: 16, remaining: 0, figures: [{ component: 'cutter', against: 'part' }],
        changes: [{ line: 15, block: 'N130', words: [{ from: 'Z-0.05', to: 'Z0.' }], inserted: [] }],
        replacements: [{ deletedRegion: { startLine: 15, startColumn: 11, endColumn: 17 }, insertedContent: { text: 'Z0.' } }],
      }],
      checkedAgain: expect.arrayContaining(['contact with the part']) as string[], notCheckedAgain: expect.arrayContaining(['the stock (the sheet states none)']) as string[],
    })
    const checked = JSON.parse((await toolwake('check', 'plate.nc', '--format', 'sarif', '--fixes')).output) as { runs: { results: { ruleId: string, fixes?: object[] }[] }[] }
    expect(schemaFaults(checked)).toEqual([])
    const [gouge] = checked.runs[0].results.filter(({ ruleId }) => ruleId === 'gouge')
    expect(gouge.fixes).toMatchObject([{ properties: { notCheckedAgain: expect.arrayContaining(['the stock (the sheet states none)']) as string[] }, artifactChanges: [{ replacements: [{ deletedRegion: { startLine: 15, startColumn: 11, endColumn: 17 }, insertedContent: { text: 'Z0.' } }] }] }])
    // What a rule can surely write is always there, and says whether the motion stays.
    writeFileSync(join(job.folder, 'point.nc'), job.program.replace('Z-0.05', 'Z-1'))
    const pointless = (await toolwake('check', 'point.nc', '--format', 'sarif')).output
    expect(schemaFaults(JSON.parse(pointless))).toEqual([])
    expect((JSON.parse(pointless) as typeof checked).runs[0].results.find(({ ruleId }) => ruleId === 'missing-decimal-point')?.fixes).toMatchObject([
      { description: { text: 'Write Z-1.' }, artifactChanges: [{ replacements: [{ insertedContent: { text: 'Z-1.' } }] }], properties: { keepsMotion: true } },
    ])
    expect(await toolwake('check', 'plate.nc', '--fixes')).toMatchObject({ code: 2, errors: expect.stringContaining('--fixes needs --format sarif') as string })
  })
})
