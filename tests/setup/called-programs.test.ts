import { mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { CalledPrograms } from '../../server/edge/called-programs.ts'
import { OpenJobs } from '../../server/edge/open-jobs.ts'

// Programs called by number, kept in files of their own: names as shops give them, common practice.

let root = ''

beforeEach(() => { root = mkdtempSync(join(tmpdir(), 'toolwake-')) })
afterEach(() => rmSync(root, { recursive: true, force: true }))

function write(files: Readonly<Record<string, string>>): void {
  for (const [name, text] of Object.entries(files)) {
    mkdirSync(join(root, name, '..'), { recursive: true })
    writeFileSync(join(root, name), text)
  }
}

const at = (name: string) => join(root, name)

function nameOf(number: number, caller = 'main.nc', sheet?: string): string | undefined {
  const found = new CalledPrograms(at(caller), sheet === undefined ? undefined : at(sheet)).find(number)
  return found?.path.slice(root.length + 1).replaceAll('\\', '/')
}

describe('the file of a program number', () => {
  it.each([
    'O100.nc', 'o100.NC', '100.nc', 'O0100.nc', '0100.nc', 'O00100.nc', 'O100', 'O100.cnc', 'O100.ngc', 'O100.tap', '0100.TAP',
  ])('may be called %s', name => {
    write({ [name]: 'M99' })
    expect(nameOf(100)).toBe(name)
  })

  it.each(['O1000.nc', '1100.nc', 'O100.txt', 'XO100.nc', 'O100.nc.bak'])('is not %s', name => {
    write({ [name]: 'M99' })
    expect(nameOf(100)).toBeUndefined()
  })

  it('has the caller\'s ending rather than another, and the O rather than none', () => {
    write({ 'O100.nc': '', 'O100.prg': '', '100.prg': '' })
    expect(nameOf(100, 'main.prg')).toBe('O100.prg')
    expect(nameOf(100, 'main.nc')).toBe('O100.nc')
  })

  it('is looked for beside the program, then beside the sheet', () => {
    write({ 'op/O1.nc': '', 'O1.nc': '', 'O2.nc': '' })
    expect(nameOf(1, 'op/main.nc', 'job.setup.json')).toBe('op/O1.nc')
    expect(nameOf(2, 'op/main.nc', 'job.setup.json')).toBe('O2.nc')
    expect(nameOf(2, 'op/main.nc')).toBeUndefined()
  })

  it('is no folder, and no number makes it throw', () => {
    write({ 'O100.nc/inside.txt': '' })
    for (const number of [100, -1, 1.5, NaN, Infinity, 1e300]) expect(nameOf(number)).toBeUndefined()
    expect(nameOf(1, 'nowhere/main.nc', 'nor/here.setup.json')).toBeUndefined()
  })
})

describe('a called file', () => {
  it('is read once, and as the editor holds it', () => {
    write({ 'O1.nc': 'X1' })
    const disk = new CalledPrograms(at('main.nc'), undefined)
    const first = disk.find(1)
    write({ 'O1.nc': 'X2' })
    expect(disk.find(1)).toBe(first)
    expect(disk.textOf(at('O1.nc'))).toBe('X1')
    const typed = new CalledPrograms(at('main.nc'), undefined, path => path === at('O1.nc') ? 'X3' : undefined)
    expect(typed.find(1)).toEqual({ path: at('O1.nc'), text: 'X3' })
  })

  it('concerns its callers, also before it is there', () => {
    const called = new CalledPrograms(at('main.nc'), undefined)
    called.find(7)
    for (const name of ['O7.nc', '7.nc', 'o0007', 'O00007.TAP']) expect(called.concerns(at(name)), name).toBe(true)
    for (const name of ['O8.nc', 'main.nc', 'sub/O7.nc']) expect(called.concerns(at(name)), name).toBe(false)
  })
})

describe('a whole check', () => {
  const sheet = JSON.stringify({ units: 'mm', programs: ['main.nc'], offsets: { G54: { X: 0, Y: 0, Z: 0, A: 0, C: 0 } }, tools: [] })
  const check = (path: string) => new OpenJobs().check({ path: at(path), text: 'G21 G17 G90 G94 G40 G49 G80 G54\nG0 X0. Y0. Z50.\nM98 P20\nM30\n', threads: 1, epsilon: 0.002, setupPath: at('main.setup.json') })

  it('runs the file, and what is wrong in it stands in it with the call beside it', async () => {
    write({ 'main.setup.json': sheet, 'O20.nc': '%\nO20\nG1 X1. F100.\nG77 X2.\nM99\n%\n' })
    const { findings, program } = await check('main.nc')
    expect([...program.toolpath.line]).toEqual([1, 2, 2])
    const found = findings.find(one => one.rule === 'unknown-code')
    expect(found?.file).toBe(at('O20.nc'))
    expect('%\nO20\nG1 X1. F100.\nG77 X2.\nM99\n%\n'.slice(found?.span.start, found?.span.end)).toBe('G77')
    expect(found?.related?.[0]?.message).toBe('O20 is called here.')
    expect(found?.related?.[0]?.file).toBeUndefined()
  })

  it('says which file is missing, and why one cannot be read', async () => {
    write({ 'main.setup.json': sheet })
    expect((await check('main.nc')).findings.find(one => one.rule === 'missing-target')?.message).toContain('O20 is neither in this text nor a file beside it')
    symlinkSync('nowhere', at('O20.nc'))
    expect((await check('main.nc')).findings.find(one => one.rule === 'missing-target')?.message).toContain(`O20 cannot be run: The called program ${at('O20.nc')} is not there.`)
  })
})
