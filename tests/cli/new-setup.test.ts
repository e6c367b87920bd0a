import { existsSync, mkdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, test } from 'vitest'
import { PlateJob } from '../harness/plate-job.ts'
import { runToolwake } from '../harness/run-toolwake.ts'

let job: PlateJob
beforeEach(() => { job = new PlateJob() })
afterEach(() => job.remove())

const toolwake = (...args: string[]) => runToolwake(args, { folder: job.folder })
const read = (name: string) => readFileSync(join(job.folder, name), 'utf8')

describe('toolwake new-setup', () => {
  test('writes the sheet beside the program and says what to do next; the check then names what is missing', async () => {
    job.write('fresh.nc', job.program)
    const ended = await toolwake('new-setup', 'fresh.nc')
    expect(ended).toMatchObject({ code: 0, output: '' })
    expect(ended.errors).toContain('toolwake: Wrote fresh.setup.json, with entries for tool 1. Next:')
    expect(ended.errors).toContain('toolwake check fresh.nc')
    const checked = await toolwake('check', 'fresh.nc')
    expect(checked.code).toBe(1)
    expect(checked.output).toMatch(/ERROR setup-error {2}fresh\.setup\.json:\d+:\d+\n {2}"LPR" of tool 1 is still to be filled in/)
    expect(checked.output).toContain('Motion and contact were not checked')
  })

  test('leaves a sheet that is there, unless it is told to write over it', async () => {
    const before = read('plate.setup.json')
    const refused = await toolwake('new-setup', 'plate.nc')
    expect(refused).toMatchObject({ code: 2, output: '' })
    expect(refused.errors).toContain('plate.setup.json is already there and was left as it is')
    expect(read('plate.setup.json')).toBe(before)
    expect((await toolwake('new-setup', 'plate.nc', '--force')).code).toBe(0)
    expect(read('plate.setup.json')).toContain('FILL IN')
  })

  test('writes to standard output, or to another folder with the way back to the program', async () => {
    const printed = await toolwake('new-setup', 'plate.nc', '--output', '-')
    expect(printed).toMatchObject({ code: 0, errors: '' })
    expect(printed.output).toContain('"programs": ["plate.nc"]')
    mkdirSync(join(job.folder, 'sheets'))
    const written = await toolwake('new-setup', 'plate.nc', '--output', 'sheets/one.setup.json')
    expect(written.errors).toContain('toolwake check plate.nc --setup sheets/one.setup.json')
    expect(read('sheets/one.setup.json')).toContain('"programs": ["../plate.nc"]')
  })

  test('the note of a program without a sheet says how to start one', async () => {
    job.write('lone.nc', job.program)
    const checked = await toolwake('check', 'lone.nc')
    expect(checked.output).toMatch(/NOTE setup-not-found.*\n.*toolwake new-setup/)
  })

  test.each<[string, string[], RegExp]>([
    ['a program that is not there', ['gone.nc'], /The program gone\.nc is not there/],
    ['the program as its own sheet', ['plate.nc', '--output', 'plate.nc', '--force'], /would be written over/],
    ['a folder that is not there', ['plate.nc', '--output', 'no/sheet.setup.json'], /the folder no is not there/],
  ])('%s: one sentence, exit code 2, nothing written', async (_what, args, words) => {
    const ended = await toolwake('new-setup', ...args)
    expect(ended).toMatchObject({ code: 2, output: '' })
    expect(ended.errors).toMatch(words)
    expect(read('plate.nc')).toBe(job.program)
    expect(existsSync(join(job.folder, 'no'))).toBe(false)
  })
})

describe('several sheets beside a program', () => {
  test('the check says which was taken and how to choose; the one that is named is used without a word', async () => {
    job.write('plate.setup.json', job.sheet.replace('"plate.nc"', '"*.nc"'))
    job.write('high.setup.json', job.sheet.replace('"plate.nc"', '"pl*.nc"').replace('"mesh": "plate.stl"', '"mesh": "plate.stl", "translate": [0, 0, 1]'))
    const found = await toolwake('check', 'plate.nc', '--only', 'gouge')
    expect(found.output).toMatch(/NOTE several-setups.*\n {2}2 setup sheets would serve this program\. plate\.setup\.json was taken; nothing was checked with high\.setup\.json\..*--setup FILE/)
    expect(found.output).not.toContain('1.05')
    const named = await toolwake('check', 'plate.nc', '--only', 'gouge', '--setup', 'high.setup.json')
    expect(named.output).toContain('1.05')
    expect(named.output).not.toContain('several-setups')
    const compared = await toolwake('compare', 'plate.nc', 'plate.nc')
    expect(compared.output).toContain('Both with the setup sheet plate.setup.json. It was taken, though high.setup.json would serve as well.')
  })
})
