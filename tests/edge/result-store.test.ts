import { spawn } from 'node:child_process'
import { chmodSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync, truncateSync, utimesSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { build } from 'esbuild'
import { afterEach, beforeEach, describe, expect, test } from 'vitest'
import { cacheFolder } from '../../server/edge/cache-folder.ts'
import { clearResults, ResultStore } from '../../server/edge/result-store.ts'

let folder = ''
let said: string[] = []

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'toolwake-store-'))
  said = []
})
afterEach(() => rmSync(folder, { recursive: true, force: true }))

const storeOf = (limit = 1e9, place = folder) => new ResultStore({ folder: place, limit }, sentence => said.push(sentence))
const bytesOf = (text: string) => Uint8Array.from(Buffer.from(text))
const textOf = (bytes: Uint8Array | undefined) => bytes === undefined ? undefined : Buffer.from(bytes).toString()
const onlyFile = () => join(folder, readdirSync(folder)[0])

describe('results kept on the disk', () => {
  test('come back as they were, part behind part, to another process too', () => {
    storeOf().write('figures', 'a1', [bytesOf('one '), bytesOf(''), bytesOf('two')])
    expect(textOf(storeOf().read('figures', 'a1'))).toBe('one two')
    expect(storeOf().read('figures', 'a1', true)?.buffer).toBeInstanceOf(SharedArrayBuffer)
    expect(storeOf().read('mesh', 'a1')).toBeUndefined()
    expect(storeOf().read('figures', 'a2')).toBeUndefined()
    expect([storeOf().has('figures', 'a1'), storeOf().has('figures', 'a2')]).toEqual([true, false])
  })

  test('can be nothing, and can be written over by the same', () => {
    storeOf().write('figures', 'a1', [])
    storeOf().write('figures', 'a1', [])
    expect(storeOf().read('figures', 'a1')?.length).toBe(0)
    expect(readdirSync(folder).length).toBe(1)
  })

  test.each([
    ['cut short', () => truncateSync(onlyFile(), statSync(onlyFile()).size - 1)],
    ['cut within its head', () => truncateSync(onlyFile(), 5)],
    ['empty', () => truncateSync(onlyFile(), 0)],
    ['longer', () => writeFileSync(onlyFile(), 'x', { flag: 'a' })],
    ['of another form', () => writeFileSync(onlyFile(), Buffer.concat([Buffer.from('TWKEPT9\n'), readFileSync(onlyFile()).subarray(8)]))],
    ['changed in one bit', () => {
      const bytes = readFileSync(onlyFile())
      bytes[bytes.length - 3] ^= 1
      writeFileSync(onlyFile(), bytes)
    }],
    ['of a length beyond all memory', () => {
      const bytes = readFileSync(onlyFile())
      bytes.writeBigUInt64LE(2n ** 60n, 40)
      writeFileSync(onlyFile(), bytes)
    }],
  ])('that are %s count as missing, and make room for whole ones', (_, spoil) => {
    storeOf().write('figures', 'a1', [bytesOf('figures of a program')])
    spoil()
    expect(storeOf().read('figures', 'a1')).toBeUndefined()
    expect(storeOf().has('figures', 'a1')).toBe(false)
    storeOf().write('figures', 'a1', [bytesOf('figures of a program')])
    expect(textOf(storeOf().read('figures', 'a1'))).toBe('figures of a program')
    expect(said).toEqual([])
  })

  test('stay below their limit: the oldest-used go, what was read lately stays', () => {
    const store = storeOf(10_000), content = new Uint8Array(1500)
    const age = (key: string, seconds: number) => utimesSync(join(folder, `figures-${key}.kept`), Date.now() / 1000 - seconds, Date.now() / 1000 - seconds)
    for (const [key, seconds] of [['a', 60], ['b', 50], ['c', 40], ['d', 30], ['e', 20], ['f', 10]] as const) {
      store.write('figures', key, [content])
      age(key, seconds)
    }
    expect(store.read('figures', 'a')?.length).toBe(1500)
    store.write('figures', 'g', [content])
    expect(readdirSync(folder).map(name => name.slice(8, 9)).sort()).toEqual(['a', 'd', 'e', 'f', 'g'])
    expect(readdirSync(folder).reduce((sum, name) => sum + statSync(join(folder, name)).size, 0)).toBeLessThanOrEqual(8000)
  })

  test('are found whatever the clock said when they were used, and still make room', () => {
    const store = storeOf(1000)
    for (const [n, year] of [2101, 1971, 2039].entries()) {
      store.write('figures', `a${n}`, [new Uint8Array(200)])
      utimesSync(join(folder, `figures-a${n}.kept`), new Date(Date.UTC(year, 0)), new Date(Date.UTC(year, 0)))
    }
    expect([0, 1, 2].map(n => storeOf().has('figures', `a${n}`))).toEqual([true, true, true])
    for (let n = 3; n < 20; n++) store.write('figures', `a${n}`, [new Uint8Array(200)])
    expect(readdirSync(folder).reduce((sum, name) => sum + statSync(join(folder, name)).size, 0)).toBeLessThanOrEqual(1000)
    expect(storeOf().read('figures', 'a19')?.length).toBe(200)
    expect(said).toEqual([])
  })

  test('that would push out most others are not kept', () => {
    const store = storeOf(10_000)
    store.write('figures', 'a', [new Uint8Array(1000)])
    store.write('mesh', 'b', [new Uint8Array(6000)])
    expect(readdirSync(folder)).toEqual(['figures-a.kept'])
  })

  test('are removed on demand, and nothing else with them', () => {
    storeOf().write('figures', 'a', [bytesOf('x')])
    storeOf().write('mesh', 'b', [bytesOf('y')])
    writeFileSync(join(folder, 'notes.txt'), 'mine')
    expect(clearResults(folder).files).toBe(2)
    expect(readdirSync(folder)).toEqual(['notes.txt'])
    expect(clearResults(join(folder, 'nowhere'))).toEqual({ files: 0, bytes: 0 })
  })

  test('half-written and left long ago are swept up, half-written just now left alone', () => {
    const old = join(folder, 'mesh-a.kept.1.abc.part'), young = join(folder, 'mesh-a.kept.2.abc.part')
    writeFileSync(old, 'x')
    writeFileSync(young, 'x')
    utimesSync(old, 1, 1)
    storeOf().write('figures', 'a', [bytesOf('x')])
    expect(readdirSync(folder).sort()).toEqual(['figures-a.kept', 'mesh-a.kept.2.abc.part'])
  })

  test('where no folder can be made are not kept, which is said once', () => {
    writeFileSync(join(folder, 'file'), 'in the way')
    const store = storeOf(1e9, join(folder, 'file', 'below'))
    store.write('figures', 'a', [bytesOf('x')])
    store.write('figures', 'b', [bytesOf('x')])
    expect(store.read('figures', 'a')).toBeUndefined()
    expect(said.length).toBe(1)
    expect(said[0]).toMatch(/^Results are not kept for the next time: the folder .+ cannot be written \(.+\)\.$/)
  })

  // Whoever may do everything can write where nobody may: there the case above speaks for this one.
  test('in a folder that may be read alone are read, and new ones said not to be kept', () => {
    const inner = join(folder, 'locked')
    mkdirSync(inner)
    storeOf(1e9, inner).write('figures', 'a', [bytesOf('kept')])
    chmodSync(inner, 0o500)
    try {
      const store = storeOf(1e9, inner)
      expect(textOf(store.read('figures', 'a'))).toBe('kept')
      store.write('figures', 'b', [bytesOf('x')])
      expect(said.length).toBe(store.has('figures', 'b') ? 0 : 1)
    } finally {
      chmodSync(inner, 0o700)
    }
  })

  test('written by several processes at once are whole', async () => {
    const script = join(folder, 'writer.cjs'), place = join(folder, 'kept')
    await build({ entryPoints: [join(import.meta.dirname, '../../server/edge/result-store.ts')], outfile: join(folder, 'store.cjs'), bundle: true, platform: 'node', format: 'cjs', logLevel: 'error' })
    // Each writes the same results over and over and reads what the others write meanwhile; the limit makes them remove each other's.
    writeFileSync(script, `
      const { ResultStore } = require('./store.cjs')
      const store = new ResultStore({ folder: ${JSON.stringify(place)}, limit: 400_000 }, sentence => { throw new Error(sentence) })
      for (let round = 0; round < 60; round++) for (let key = 0; key < 6; key++) {
        store.write('figures', 'k' + key, [new Uint8Array(100_000).fill(key)])
        const found = store.read('figures', 'k' + (key + 3) % 6)
        if (found !== undefined && !(found.length === 100_000 && found.every(byte => byte === (key + 3) % 6))) throw new Error('not whole')
      }`)
    const run = () => new Promise<string>(resolve => {
      const child = spawn(process.execPath, [script])
      let errors = ''
      child.stderr.on('data', (data: Buffer) => { errors += data.toString() })
      child.once('close', code => resolve(`${code} ${errors}`))
    })
    expect(await Promise.all([run(), run(), run()])).toEqual(['0 ', '0 ', '0 '])
    expect(readdirSync(place).filter(name => name.endsWith('.part'))).toEqual([])
  })
})

describe('the folder', () => {
  const at = (platform: string, environment: Record<string, string>) => cacheFolder({ platform, environment, home: '/people/me' })
  // XDG Base Directory Specification 0.8: $XDG_CACHE_HOME, else $HOME/.cache; relative paths are to be ignored.
  test('is the one the system has for such things', () => {
    expect(at('linux', {})).toBe(join('/people/me', '.cache', 'toolwake'))
    expect(at('linux', { XDG_CACHE_HOME: '/var/me' })).toBe(join('/var/me', 'toolwake'))
    expect(at('linux', { XDG_CACHE_HOME: 'cache' })).toBe(join('/people/me', '.cache', 'toolwake'))
    expect(at('darwin', {})).toBe(join('/people/me', 'Library', 'Caches', 'toolwake'))
    expect(at('win32', { LOCALAPPDATA: 'C:\\people\\me' })).toBe(join('C:\\people\\me', 'toolwake', 'cache'))
  })
})
