import { spawn } from 'node:child_process'
import { createHash } from 'node:crypto'
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { commandNames } from '../../server/cli/help-text.ts'
import { builtCommand, runToolwake, type Ended, type ProcessOptions } from '../harness/run-toolwake.ts'
import { schemaFaults } from './sarif-schema.ts'

// The command as it is installed: the built file in a process of its own, in a folder of its own.

const samples = fileURLToPath(new URL('../../samples/duct', import.meta.url))

let folder = ''

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'toolwake-process-'))
  write('plate.stl', plate())
  write('plate.setup.json', sheet())
  write('good.nc', good)
  write('deep.nc', good.replace('Z0.', 'Z-0.05'))
})
afterAll(() => rmSync(folder, { recursive: true, force: true }))

function write(name: string, content: string | Uint8Array): void {
  writeFileSync(join(folder, name), content)
}

function toolwake(args: readonly string[], options: Partial<ProcessOptions> = {}): Promise<Ended> {
  return runToolwake(args, { folder, ...options })
}

/** A flat-topped plate, 40 × 40 × 10 mm, its top at z = 0; two triangles a side, STL in text form. */
function plate(): string {
  const corner = (i: number): [number, number, number] => [i & 1 ? 20 : -20, i & 2 ? 20 : -20, i & 4 ? 0 : -10]
  const sides = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]]
  const facets = sides.flatMap(([a, b, c, d]) => [[a, b, c], [a, c, d]]).map(facet =>
    `facet normal 0 0 0\nouter loop\n${facet.map(i => `vertex ${corner(i).join(' ')}`).join('\n')}\nendloop\nendfacet`)
  return `solid plate\n${facets.join('\n')}\nendsolid plate\n`
}

function sheet(changes: object = {}): string {
  return JSON.stringify({
    units: 'mm', programs: ['*.nc'],
    offsets: { G54: { X: 0, Y: 0, Z: -120, A: 0, C: 0 } },
    part: { mesh: 'plate.stl', units: 'mm' },
    limits: { gouge: 0.01, clearance: { neck: 0.15, shank: 0.15, holder: 1, head: 5, rapid: 1 } },
    tools: [{
      number: 3, name: 'ball 4', cutter: { shape: 'ball', DC: 4, LCF: 6 }, shank: { DCONMS: 4 }, LPR: 30,
      holder: [{ diameter: 20, length: 30 }], NOF: 2, centreCutting: true, point: 'tip', lengthOffset: 3,
    }],
    ...changes,
  }, undefined, 2)
}

const good = `%
N10 G17 G21 G40 G49 G54 G80 G90 G94
N20 T3 M6
N30 S8000 M3 M8
N40 G0 A0. C0.
N50 G0 X-10. Y0.
N60 G43 H3 Z20.
N70 G1 Z0. F300.
N80 G1 X10. F800.
N90 G1 Z2.
N95 G0 Z20.
N100 M5 M9
N110 G49
N120 M30
%
`

interface Log {
  runs: {
    results: { ruleId: string, level: string, properties?: Record<string, number> }[]
    properties: { toolwake: { hashes: Record<string, unknown>, tools: { cutter?: { value: number } }[], motions: number } }
  }[]
}

function run(sarif: string): Log['runs'][number] {
  const log = JSON.parse(sarif) as Log
  expect(schemaFaults(log)).toEqual([])
  return log.runs[0]
}

describe('calls', () => {
  test('--version is that of package.json', async () => {
    const { version } = JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8')) as { version: string }
    expect(await toolwake(['--version'])).toMatchObject({ code: 0, output: `${version}\n`, errors: '' })
  })
  test('an unknown command says which there are', async () => {
    const ended = await toolwake(['polish', 'good.nc'])
    expect(ended).toMatchObject({ code: 2, output: '' })
    expect(ended.errors).toContain(`The commands are ${commandNames.slice(0, -1).join(', ')} and ${commandNames.at(-1)}.`)
  })
  test('explain prints the page of a rule, and the nearest of an unknown one', async () => {
    expect((await toolwake(['explain', 'missing-feed'])).output).toContain('missing-feed')
    expect(await toolwake(['explain', 'missing-fed'])).toMatchObject({ code: 2, output: '', errors: 'toolwake: There is no rule "missing-fed". The nearest is "missing-feed".\n' })
  })
})

describe('a ball on a plate', () => {
  test('touching it within the limit: no error', async () => {
    const ended = await toolwake(['check', 'good.nc'])
    expect(ended.output).not.toContain('ERROR')
    expect(ended.output).toContain('A clean result is no proof of a safe program.')
    expect(ended.code).toBe(0)
  })
  test('0.05 mm too deep: a gouge of that depth, within the bound', async () => {
    const ended = await toolwake(['check', 'deep.nc', '--format', 'sarif'])
    expect(ended.code).toBe(1)
    const { results, properties } = run(ended.output)
    const gouges = results.filter(result => result.ruleId === 'gouge')
    expect(gouges.length).toBeGreaterThan(0)
    for (const { properties: figures } of gouges) expect(Math.abs((figures?.['depth'] ?? 0) - 0.05)).toBeLessThanOrEqual(0.002)
    expect(Math.abs((properties.toolwake.tools[0].cutter?.value ?? 0) + 0.05)).toBeLessThanOrEqual(0.002)
  })
  test('the hashes are those of the files', async () => {
    const { properties } = run((await toolwake(['check', 'deep.nc', '--format', 'sarif'])).output)
    const hash = (name: string) => createHash('sha256').update(readFileSync(join(folder, name))).digest('hex')
    expect(properties.toolwake.hashes).toEqual({ program: hash('deep.nc'), setup: hash('plate.setup.json'), meshes: { 'plate.stl': hash('plate.stl') } })
  })
  test('a fixture and a barrier: what runs into them, and their hashes', async () => {
    const box = (name: string, [x, y, z]: readonly number[]) => write(name, plate().replaceAll(/vertex (\S+) (\S+) (\S+)/g, (_, a, b, c) => `vertex ${Number(a) + x} ${Number(b) + y} ${Number(c) + z}`))
    // Jaw: 20 mm beside the plate's middle, its top at 6; floor: its top at -0.02, 60 mm aside.
    box('jaw.stl', [0, 42, 6])
    box('floor.stl', [60, 0, -0.02])
    write('held.json', sheet({ fixtures: [{ name: 'jaw', mesh: 'jaw.stl', clearance: 1 }], barriers: [{ name: 'floor', mesh: 'floor.stl' }] }))
    write('held.nc', good.replace('N70 G1 Z0. F300.', 'N70 G1 Z1. F300.\nN71 Y20.5\nN72 Y0.\nN73 X60.\nN74 Z-0.12\nN75 Z1.\nN76 X-10.\nN77 Z0.'))
    const { code, output } = await toolwake(['check', 'held.nc', '--setup', 'held.json', '--format', 'sarif'])
    expect(code).toBe(1)
    const { results, properties: { toolwake: { hashes } } } = run(output)
    const found = results.filter(({ ruleId }) => /^(fixture|barrier)-/.test(ruleId)).map(({ ruleId, properties }) => [ruleId, properties?.component, properties?.against])
    expect(found).toContainEqual(['barrier-crossed', 'cutter', 'barrier:floor'])
    expect(found).toContainEqual(['fixture-contact', 'cutter', 'fixture:jaw'])
    const hash = (name: string) => createHash('sha256').update(readFileSync(join(folder, name))).digest('hex')
    expect(hashes).toMatchObject({ meshes: { 'plate.stl': hash('plate.stl'), 'jaw.stl': hash('jaw.stl'), 'floor.stl': hash('floor.stl') } })
  })

  test('the output is the same, byte for byte, for any number of threads', async () => {
    const [one, two, three] = await Promise.all(['1', '2', '3'].map(threads => toolwake(['check', 'deep.nc', 'good.nc', '--format', 'sarif', '--threads', threads])))
    expect(two.output).toBe(one.output)
    expect(three.output).toBe(one.output)
    expect(one.output.length).toBeGreaterThan(1000)
  })
  test('nor do kept results change it: none, found again, damaged, or not to be written', async () => {
    const kept = join(folder, 'kept')
    const alone = await toolwake(['check', 'deep.nc', 'good.nc', '--format', 'sarif', '--no-cache', '--threads', '2'], { cache: kept })
    expect(readdirSync(folder)).not.toContain('kept')
    const all = ['check', 'deep.nc', 'good.nc', '--format', 'sarif']
    const first = await toolwake(all, { cache: kept }), files = readdirSync(join(kept, 'toolwake')).sort()
    expect(files.map(name => name.split('-')[0])).toEqual(expect.arrayContaining(['farthest', 'figures', 'mesh']))
    const again = await toolwake(all, { cache: kept })
    expect(readdirSync(join(kept, 'toolwake')).sort()).toEqual(files)
    for (const name of files) writeFileSync(join(kept, 'toolwake', name), readFileSync(join(kept, 'toolwake', name)).subarray(0, -1))
    const damaged = await toolwake(all, { cache: kept })
    const locked = await toolwake(all, { cache: join(folder, 'plate.stl') })
    for (const { output } of [first, again, damaged, locked]) expect(output).toBe(alone.output)
    expect([first.errors, again.errors, damaged.errors]).toEqual(['', '', ''])
    expect(locked.errors).toMatch(/^(?:toolwake: Results are not kept for the next time: .+\n)+$/)
    expect((await toolwake(['clear-cache'], { cache: kept })).output).toMatch(/^\d+ kept results with 1 MB removed from /)
    expect((await toolwake(['clear-cache'], { cache: kept })).output).toMatch(/^Nothing is kept in /)
  })
  test('a mesh beyond the memory allowed is not opened, and that is said', async () => {
    const { output, code } = await toolwake(['check', 'deep.nc', '--memory', '1'])
    expect(code).toBe(1)
    write('many.stl', Array.from({ length: 400 }, plate).join(''))
    write('many.json', sheet({ part: { mesh: 'many.stl', units: 'mm' } }))
    const narrow = await toolwake(['check', 'deep.nc', '--setup', 'many.json', '--memory', '1'])
    expect(output).not.toContain('memory limit')
    expect(narrow.output).toMatch(/not-checked[^]+many\.stl was not opened: its (?:file alone has 1 MB|4800 triangles would take some 3 MB), and of the memory limit of 1 MB 1 MB are left\./)
    expect(narrow.output).toContain('Contact was not searched: the part\'s mesh cannot be used.')
  })
  test('from standard input, with the sheet named', async () => {
    const ended = await toolwake(['check', '-', '--setup', 'plate.setup.json'], { input: readFileSync(join(folder, 'deep.nc'), 'utf8') })
    expect(ended.output).toContain('ERROR gouge  standard input:')
    expect(ended.code).toBe(1)
  })
  test('programs called by number are run from the files beside it, shown where they are wrong, and hashed', async () => {
    write('call.nc', good.replace('N80 G1 X10. F800.', 'N80 M98 P900'))
    write('O900.nc', 'O900 (F\u00dcR DIE PLATTE)\nG1 X10. F800. G777\nZ-0.05\nM99\n')
    const text = await toolwake(['check', 'call.nc'])
    expect(text.output).toMatch(/unknown-code {2}O900\.nc:2:15\n.*\n.*G777\n +\^{4}\n {2}See call\.nc:9:1: O900 is called here\./)
    expect(text.output).toMatch(/ERROR gouge {2}call\.nc:9:5/)
    const { properties } = run((await toolwake(['check', 'call.nc', '--format', 'sarif'])).output)
    const hash = createHash('sha256').update(readFileSync(join(folder, 'O900.nc'))).digest('hex')
    expect(properties.toolwake.hashes['called']).toEqual({ 'O900.nc': hash })
  })
  test('only the blocks asked for', async () => {
    const before = await toolwake(['check', 'deep.nc', '--blocks', 'N10..N60'])
    expect([before.code, before.output.includes('ERROR')]).toEqual([0, false])
    expect((await toolwake(['check', 'deep.nc', '--blocks', 'N70..N90'])).code).toBe(1)
  })
})

describe('bad input: a clear finding, and exit code 2 only where nothing could be checked', () => {
  test.each<[string, string | Uint8Array, number, RegExp]>([
    ['an empty program', '', 2, /is empty/],
    ['a binary program', Uint8Array.of(80, 75, 3, 4, 0, 0, 0, 8), 2, /is no text/],
    ['a program that is no program', 'Dear Sir or Madam,\nplease find enclosed.\n', 1, /ERROR/],
  ])('%s', async (_what, content, code, words) => {
    write('bad.nc', content)
    const ended = await toolwake(['check', 'bad.nc'])
    expect(ended.output).toMatch(words)
    expect(ended.code).toBe(code)
  })
  test('50 MB in one line', async () => {
    write('long.nc', 'G1 X1. '.repeat(50 * 1024 * 1024 / 7))
    const ended = await toolwake(['check', 'long.nc'])
    expect(ended.errors).toBe('')
    expect(ended.output).toMatch(/ERROR/)
    expect(ended.output.length).toBeLessThan(1_000_000)
    expect(ended.code).toBe(1)
  }, 120_000)
  test.each<[string, object, RegExp]>([
    ['a missing mesh', { part: { mesh: 'gone.stl', units: 'mm' } }, /gone\.stl/],
    ['a misspelt key in the sheet', { limts: { gouge: 0.01 } }, /limts.*limits/s],
  ])('%s', async (_what, changes, words) => {
    write('bad.json', sheet(changes))
    const ended = await toolwake(['check', 'good.nc', '--setup', 'bad.json'])
    expect(ended.output).toMatch(words)
    expect(ended.code).toBe(1)
  })
  test.each<[string, string]>([
    ['an empty mesh', ''],
    ['a mesh of not-a-numbers', plate().replaceAll('-10', 'NaN')],
    ['a mesh without triangles', 'solid plate\nendsolid plate\n'],
  ])('%s', async (_what, mesh) => {
    write('bad.stl', mesh)
    write('bad.json', sheet({ part: { mesh: 'bad.stl', units: 'mm' } }))
    const ended = await toolwake(['check', 'good.nc', '--setup', 'bad.json'])
    expect(ended.output).toMatch(/(ERROR|WARNING) mesh-/)
    expect(ended.errors).toBe('')
    expect([0, 1]).toContain(ended.code)
  })
  test('a sheet that is not there', async () => {
    const ended = await toolwake(['check', 'good.nc', '--setup', 'gone.json'])
    expect(ended.output).toMatch(/gone\.json/)
    expect(ended.code).toBe(1)
  })
})

describe('the process', () => {
  test('a reader that goes away early is no fault', async () => {
    const ended = await toolwake(['check', 'deep.nc', '--format', 'sarif'], { closeOutput: true })
    expect(ended.errors).toBe('')
    expect(ended.code).toBe(1)
  })
  test('Ctrl-C ends it at once with 130 and nothing reported', async () => {
    const started = performance.now()
    const ended = await toolwake(['check', 'throat-edited.nc', '--threads', '1'], { folder: samples, stopAfter: 1000 })
    expect(ended).toMatchObject({ code: 130, output: '', errors: 'toolwake: Stopped. Nothing was reported.\n' })
    expect(performance.now() - started).toBeLessThan(5000)
  })
  test('Ctrl-C ends a mend with 130, and nothing is written', async () => {
    const mended = join(folder, 'stopped.nc')
    const ended = await toolwake(['mend', 'throat-edited.nc', '--output', mended, '--no-cache', '--threads', '1'], { folder: samples, stopAfter: 1500 })
    expect(ended).toMatchObject({ code: 130, output: '', errors: 'toolwake: Stopped. Nothing was reported.\n' })
    expect(existsSync(mended)).toBe(false)
  })
  test('serve answers a language client', async () => {
    const message = JSON.stringify({ jsonrpc: '2.0', id: 1, method: 'initialize', params: { processId: null, rootUri: null, capabilities: {} } })
    const child = spawn(process.execPath, [builtCommand, 'serve', '--stdio'], { cwd: folder })
    child.stdin.write(`Content-Length: ${message.length}\r\n\r\n${message}`)
    const answer = await new Promise<string>((resolve, reject) => {
      let output = ''
      child.stdout.setEncoding('utf8').on('data', (data: string) => {
        output += data
        if (output.includes('"capabilities"')) resolve(output)
      })
      child.once('exit', code => reject(new Error(`the server ended with ${code} before it answered: ${output}`)))
    })
    child.kill()
    expect(answer).toMatch(/^Content-Length: \d+/)
  })
})
