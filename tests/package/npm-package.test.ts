import { execFileSync } from 'node:child_process'
import { mkdirSync, mkdtempSync, readdirSync, realpathSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { LanguageServerUnderTest } from '../harness/language-server.ts'
import { PlateJob } from '../harness/plate-job.ts'
import { runToolwake } from '../harness/run-toolwake.ts'

// The npm package, packed, installed into an empty folder without a network, and used from there.

const root = fileURLToPath(new URL('../..', import.meta.url))
const folder = mkdtempSync(join(tmpdir(), 'toolwake-package-'))
let job: PlateJob, files: readonly { readonly path: string }[], size = 0

/** npm with its cache and settings in the folder, so that nothing of this computer takes part. */
function npm(args: readonly string[], cwd: string): string {
  return execFileSync('npm', [...args, '--ignore-scripts', '--no-update-notifier', '--no-audit', '--no-fund', '--cache', join(folder, 'cache'), '--userconfig', join(folder, 'npmrc')], { cwd, encoding: 'utf8' })
}

beforeAll(() => {
  job = new PlateJob()
  const [packed] = JSON.parse(npm(['pack', '--json', '--pack-destination', folder], root)) as { readonly filename: string, readonly size: number, readonly files: readonly { readonly path: string }[] }[]
  files = packed.files
  size = packed.size
  mkdirSync(join(folder, 'empty'))
  npm(['install', '--offline', '--prefix', join(folder, 'empty'), join(folder, packed.filename)], join(folder, 'empty'))
})
afterAll(() => {
  job.remove()
  rmSync(folder, { recursive: true, force: true })
})

const command = () => realpathSync(join(folder, 'empty/node_modules/.bin/toolwake'))
const toolwake = (...args: string[]) => runToolwake(args, { folder: job.folder, command: command() })

describe('the npm package', () => {
  test('holds what the command needs and nothing else', () => {
    // Each thread runs a bundle of its own, which lies beside the command.
    const workers = readdirSync(join(root, 'dist')).filter(name => name.endsWith('-worker.cjs')).map(name => `dist/${name}`).sort()
    expect(workers.length).toBeGreaterThan(0)
    expect(files.map(({ path }) => path).sort()).toEqual([
      'CHANGELOG.md', 'LICENSE', 'README.md', 'THIRD-PARTY-NOTICES.md', 'dist/cli.cjs',
      // npm takes the file that "main" names whatever the list says; it is the editor's.
      'dist/client.cjs',
      ...workers, 'dist/server.cjs', 'package.json',
    ].sort())
    // Bytes, packed.
    expect(size).toBeLessThan(3_000_000)
  })

  test('checks, compares and explains from the folder it is installed in', async () => {
    const checked = await toolwake('check', 'plate.nc')
    expect(checked).toMatchObject({ code: 1, errors: '' })
    expect(checked.output).toMatch(/ERROR gouge {2}plate\.nc:15/)
    job.write('mended.nc', job.program.replace('Z-0.05', 'Z0.'))
    expect((await toolwake('compare', 'plate.nc', 'mended.nc', '--setup', 'plate.setup.json')).code).toBe(0)
    expect((await toolwake('explain', 'gouge')).output).toContain('# gouge')
    expect((await toolwake('--version')).output).toMatch(/^\d+\.\d+\.\d+\n$/)
  })

  test('serves a language client', async () => {
    const server = new LanguageServerUnderTest(command(), ['serve', '--stdio'])
    await server.initialize({ folder: job.uri('') })
    await server.open(job.uri('plate.nc'), job.program)
    const findings = await server.findings(job.uri('plate.nc'), 1, diagnostics => diagnostics.some(({ code }) => code === 'gouge'))
    expect(findings.map(({ code }) => code)).toContain('gouge')
    await server.stop()
  })
})
