import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { findSetup } from '../../server/edge/find-setup.ts'
import { matchesGlob } from '../../server/edge/glob.ts'
import { decode, readBytes, readText } from '../../server/edge/read-file.ts'
import { readInputs } from '../../server/edge/read-inputs.ts'
import { resolveBeside } from '../../server/engine/setup/resolve-path.ts'

let root = ''

beforeEach(() => { root = mkdtempSync(join(tmpdir(), 'toolwake-')) })
afterEach(() => rmSync(root, { recursive: true, force: true }))

/** Writes files under the root; a name ending in / is a folder. */
function write(files: Readonly<Record<string, string>>): void {
  for (const [name, text] of Object.entries(files)) {
    mkdirSync(join(root, name.endsWith('/') ? name : join(name, '..')), { recursive: true })
    if (!name.endsWith('/')) writeFileSync(join(root, name), text)
  }
}

const sheetFor = (...programs: string[]) => JSON.stringify({ programs })
const fromRoot = (path: string) => path.slice(root.length + 1).replaceAll('\\', '/')
const found = (program: string) => {
  const sheet = findSetup(join(root, program), [root])
  return sheet === undefined ? undefined : [sheet.path, ...sheet.others].map(fromRoot)
}

describe('globs', () => {
  it.each<[string, string, boolean]>([
    ['a.nc', 'a.nc', true], ['a.nc', './a.nc', true], ['a.nc', 'A.nc', false], ['a.nc', '*.nc', true], ['a.nc', '*', true], ['a.nc', '?.nc', true], ['ab.nc', '?.nc', false],
    ['op/a.nc', '*.nc', false], ['op/a.nc', 'op/*.nc', true], ['op/a.nc', '**/*.nc', true], ['a.nc', '**/*.nc', true], ['op/1/2/a.nc', 'op/**/a.nc', true], ['op/a.nc', 'op/**', true],
    ['op/a.nc', 'op\\a.nc', true], ['../x/a.nc', '../x/*.nc', true], ['a.nc', 'op/../a.nc', true], ['a+(1).nc', 'a+(1).nc', true], ['anc', 'a.nc', false], ['abcabd', '*ab?', true],
    ['throat-edited.nc', 'throat*.nc', true], ['a.nc', '', false],
  ])('%s by %s: %s', (path, glob, wanted) => {
    expect(matchesGlob(path, glob)).toBe(wanted)
  })

  it('a hostile pattern costs little', () => {
    const before = performance.now()
    expect(matchesGlob('a'.repeat(2000), '*a'.repeat(200) + 'b')).toBe(false)
    expect(matchesGlob('a/'.repeat(500) + 'a', '**/'.repeat(200) + 'b')).toBe(false)
    expect(performance.now() - before).toBeLessThan(5000)
  })
})

describe('the sheet of a program', () => {
  it.each<[string, Record<string, string>, ...string[]]>([
    ['beside it, by a glob', { 'op/x.setup.json': sheetFor('a*.nc') }, 'op/x.setup.json'],
    ['of two that name it, the first in the alphabet, and the other is told', { 'op/y.setup.json': sheetFor('a.nc'), 'op/x.setup.json': sheetFor('a.nc') }, 'op/x.setup.json', 'op/y.setup.json'],
    ['of two that name it, the one with its base name', { 'op/a.setup.json': sheetFor('a.nc'), 'op/0.setup.json': sheetFor('./a.nc') }, 'op/a.setup.json', 'op/0.setup.json'],
    ['the one that names it before one whose pattern fits, which no one asked for', { 'op/x.setup.json': sheetFor('*.nc'), 'op/y.setup.json': sheetFor('b.nc', 'a.nc') }, 'op/y.setup.json'],
    ['of patterns that fit, the one with its base name', { 'op/a.setup.json': sheetFor('?.nc'), 'op/0.setup.json': sheetFor('*.nc') }, 'op/a.setup.json', 'op/0.setup.json'],
    ['a pattern that fits before its base name alone, which is told', { 'op/a.setup.json': sheetFor(), 'op/x.setup.json': sheetFor('*.nc') }, 'op/x.setup.json', 'op/a.setup.json'],
    ['in a parent, by a path', { 'x.setup.json': sheetFor('op/a.nc') }, 'x.setup.json'],
    ['beside it before the parent', { 'x.setup.json': sheetFor('op/a.nc'), 'op/x.setup.json': sheetFor('a.nc') }, 'op/x.setup.json'],
    ['a match in a parent before the same base name, which is told', { 'x.setup.json': sheetFor('**/*.nc'), 'op/a.setup.json': sheetFor() }, 'x.setup.json', 'op/a.setup.json'],
    ['by the same base name', { 'op/a.setup.json': sheetFor('other.nc') }, 'op/a.setup.json'],
    ['by the same base name though it cannot be read', { 'op/a.setup.json': '{ broken' }, 'op/a.setup.json'],
    ['past a sheet that cannot be read', { 'op/b.setup.json': '{ broken', 'op/x.setup.json/': '', 'op/y.setup.json': sheetFor('a.nc') }, 'op/y.setup.json'],
    ['none that matches', { 'op/x.setup.json': sheetFor('b.nc') }],
    ['none with the name of a program only', { 'op/x.json': sheetFor('a.nc') }],
  ])('%s', (_, files, ...wanted) => {
    write({ 'op/a.nc': 'G0', ...files })
    expect(found('op/a.nc') ?? []).toEqual(wanted)
  })

  it('is looked for up to the workspace and no farther', () => {
    write({ 'x.setup.json': sheetFor('**/*.nc'), 'job/op/a.nc': '' })
    const program = join(root, 'job/op/a.nc')
    expect(findSetup(program, [join(root, 'job')])).toBeUndefined()
    expect(findSetup(program, [join(root, 'elsewhere'), root])?.path).toBe(join(root, 'x.setup.json'))
    expect(findSetup(program, [])).toBeUndefined()
  })

  it('is none where the folder is not there', () => {
    expect(findSetup(join(root, 'no/such/a.nc'), [root])).toBeUndefined()
  })
})

describe('what a sheet names', () => {
  const sheet = JSON.stringify({ machine: '../shop/m.machine.json', part: { mesh: 'part.stl' } })

  it('is read from beside the sheet', async () => {
    write({ 'job/a.setup.json': sheet, 'shop/m.machine.json': '{}', 'job/part.stl': 'solid' })
    const inputs = await readInputs(join(root, 'job/a.setup.json'))
    expect(inputs.failures).toEqual([])
    expect(inputs.sheet?.text).toBe(sheet)
    expect(inputs.machine).toEqual({ path: join(root, 'shop/m.machine.json'), text: '{}' })
    expect(inputs.part?.bytes?.length).toBe(5)
  })

  it('comes with a sentence where it is not there', async () => {
    write({ 'job/a.setup.json': sheet })
    const inputs = await readInputs(join(root, 'job/a.setup.json'))
    expect(inputs.failures).toEqual([{ of: 'machine', path: join(root, 'shop/m.machine.json'), message: `The machine file ${join(root, 'shop/m.machine.json')} is not there.` }])
    expect(inputs.part).toEqual({ path: join(root, 'job/part.stl'), failure: `The part's mesh ${join(root, 'job/part.stl')} is not there.` })
  })

  it('is a sentence when the sheet itself is not there, or is a folder', async () => {
    write({ 'folder.setup.json/': '' })
    expect((await readInputs(join(root, 'a.setup.json'))).failures.map(failure => failure.message)).toEqual([expect.stringMatching(/^The setup sheet .* is not there\.$/)])
    expect((await readInputs(join(root, 'folder.setup.json'))).failures.map(failure => failure.message)).toEqual([expect.stringMatching(/ is a folder, not a file\.$/)])
    expect(await readInputs(undefined)).toEqual({ failures: [] })
  })

  it('is taken from the editor where it is open there', async () => {
    write({ 'job/a.setup.json': '{}' })
    const path = join(root, 'job/a.setup.json')
    const inputs = await readInputs(path, { openText: asked => asked === path ? sheet : undefined, withoutMesh: true })
    expect(inputs.sheet?.text).toBe(sheet)
    expect(inputs.part).toBeUndefined()
  })
})

describe('reading files', () => {
  it('says when a file is too large, before reading it', async () => {
    write({ 'a.txt': 'x'.repeat(100) })
    expect(await readBytes(join(root, 'a.txt'), 'The program', 50)).toMatchObject({ failure: expect.stringContaining('at most 0 MB can be read') })
    expect((await readBytes(join(root, 'a.txt'), 'The program', 100)).bytes?.length).toBe(100)
  })

  it.each<[string, number[], string]>([
    ['UTF-8', [0x47, 0x30, 0xc3, 0xa9], 'G0é'],
    ['UTF-8 with its mark', [0xef, 0xbb, 0xbf, 0x47, 0x30], 'G0'],
    ['UTF-16', [0xff, 0xfe, 0x47, 0, 0x30, 0], 'G0'],
    ['UTF-16, other end first', [0xfe, 0xff, 0, 0x47, 0, 0x30], 'G0'],
    ['one byte a character', [0x28, 0xd8, 0x20, 0x34, 0x29], '(Ø 4)'],
  ])('%s', async (_, bytes, text) => {
    expect(decode(Uint8Array.from(bytes))).toBe(text)
    writeFileSync(join(root, 'a.nc'), Uint8Array.from(bytes))
    expect(await readText(join(root, 'a.nc'), 'The program', 100)).toEqual({ file: { path: join(root, 'a.nc'), text } })
  })
})

describe('paths in a sheet', () => {
  it.each<[string, string, string]>([
    ['/job/a.setup.json', 'part.stl', '/job/part.stl'], ['/job/a.setup.json', '../shop/m.json', '/shop/m.json'], ['/job/a.setup.json', './x/../y.stl', '/job/y.stl'],
    ['/job/a.setup.json', '/abs/p.stl', '/abs/p.stl'], ['/a.setup.json', '../../p.stl', '/p.stl'], ['a.setup.json', 'p.stl', 'p.stl'], ['a.setup.json', '../p.stl', '../p.stl'],
    ['op/a.setup.json', '../../p.stl', '../p.stl'], ['C:\\job\\a.setup.json', 'p.stl', 'C:\\job\\p.stl'], ['C:\\job\\a.setup.json', '..\\m\\p.stl', 'C:\\m\\p.stl'],
    ['C:\\job\\a.setup.json', 'D:\\p.stl', 'D:\\p.stl'], ['\\\\host\\share\\a.setup.json', 'p.stl', '\\\\host\\share\\p.stl'],
  ])('beside %s, %s is %s', (sheet, path, wanted) => {
    expect(resolveBeside(sheet, path)).toBe(wanted)
  })
})
