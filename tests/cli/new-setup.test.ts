import { existsSync, mkdirSync, readFileSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, test } from 'vitest'
import type { Said } from '../../server/cli/dialogue.ts'
import { runNewSetup } from '../../server/cli/new-setup-command.ts'
import { PlateJob } from '../harness/plate-job.ts'
import { runToolwake } from '../harness/run-toolwake.ts'
import { paperTerminal } from './hand-made.ts'

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

describe('toolwake new-setup at a terminal', () => {
  /** Answers by the words of the question, else with nothing, as a person who presses Enter. */
  async function talk(answers: readonly (readonly [RegExp, Said])[], blank = false) {
    job.write('fresh.nc', `(T1 BALL 6)\n${job.program}`)
    const paper = paperTerminal({ folder: job.folder }), left = [...answers]
    const prompts: string[] = []
    const ask = (prompt: string) => {
      prompts.push(prompt)
      const question = paper.written.errors.trimEnd().split('\n\n').at(-1) ?? ''
      const at = left.findIndex(([words]) => words.test(question))
      return Promise.resolve(at < 0 ? { words: '' } : left.splice(at, 1)[0]?.[1] ?? 'stop')
    }
    const code = await runNewSetup({ program: 'fresh.nc', force: false, blank }, { ...paper, openDialogue: () => ({ ask, close: () => undefined }) })
    return { code, errors: paper.written.errors, prompts: prompts.join('\n') }
  }
  const words = (answer: string): Said => ({ words: answer })

  test('asks until the sheet is whole, tells slips, and the program is then checked to the end', async () => {
    const { code, errors, prompts } = await talk([
      [/zero of G54/, words('0 0')], [/zero of G54/, words('X0 Y0 Z-380')], [/LCF/, words('10')], [/LPR/, words('30')], [/the holder/, words('20 40')],
    ])
    expect(code).toBe(0)
    expect(errors).toContain('numbers with blanks between them')
    expect(prompts).toContain('[duct.machine.json, the only one found here] > ')
    expect(prompts).toContain('[6, the program says (T1 BALL 6)] > ')
    expect(errors).toContain('every value has been given')
    const checked = await toolwake('check', 'fresh.nc')
    expect(checked.output).not.toContain('setup-error')
    expect(checked.output).toMatch(/ERROR gouge/)
  })

  test('"." leaves the rest to be filled in, Ctrl-C writes nothing, --blank asks nothing', async () => {
    expect((await talk([[/finished part/, words('.')]])).errors).toContain('questions have no answer')
    expect(read('fresh.setup.json')).toMatch(/"machine": "duct.machine.json",[^]*"mesh": null/)
    rmSync(join(job.folder, 'fresh.setup.json'))
    expect(await talk([[/finished part/, 'stop']])).toMatchObject({ code: 130, errors: expect.stringMatching(/Nothing was written\.\n$/) as string })
    expect(existsSync(join(job.folder, 'fresh.setup.json'))).toBe(false)
    expect((await talk([], true)).errors).not.toContain('?')
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
    const own = await toolwake('check', '.', '--only', 'gouge', '--setup-for', 'plate.nc=high.setup.json', '--setup-for', 'gone.nc=high.setup.json')
    expect(own.output).toContain('1.05')
    expect(own.output).not.toContain('several-setups')
    expect(own.errors).toBe('toolwake: --setup-for was of no use for gone.nc, which is not among the programs checked.\n')
    const compared = await toolwake('compare', 'plate.nc', 'plate.nc')
    expect(compared.output).toContain('Both with the setup sheet plate.setup.json. It was taken, though high.setup.json would serve as well.')
  })
})
