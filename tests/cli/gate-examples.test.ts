import { execFileSync, spawnSync } from 'node:child_process'
import { chmodSync, copyFileSync, mkdirSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs'
import { delimiter, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterEach, beforeEach, describe, expect, test } from 'vitest'
import { PlateJob } from '../harness/plate-job.ts'
import { builtCommand } from '../harness/run-toolwake.ts'

// The two examples in samples/gate, run as their users run them: by a shell, with `toolwake` on the path.

const examples = fileURLToPath(new URL('../../samples/gate/', import.meta.url))

let job: PlateJob, commands: string
beforeEach(() => {
  job = new PlateJob()
  job.write('plate.setup.json', job.sheet.replace('"programs": ["plate.nc"]', '"programs": ["**"]'))
  commands = join(job.folder, '.commands')
  mkdirSync(commands)
  writeFileSync(join(commands, 'toolwake'), `#!/bin/sh\nexec "${process.execPath}" "${builtCommand}" "$@"\n`)
  chmodSync(join(commands, 'toolwake'), 0o755)
})
afterEach(() => job.remove())

const read = (name: string) => readFileSync(join(job.folder, name), 'utf8')

function run(command: string, args: readonly string[], environment: Readonly<Record<string, string>> = {}, path = process.env['PATH'] ?? '') {
  const { status, stdout, stderr } = spawnSync(command, args, {
    cwd: job.folder, encoding: 'utf8', env: { ...process.env, PATH: `${commands}${delimiter}${path}`, HOME: job.folder, ...environment },
  })
  return { code: status, output: stdout, errors: stderr }
}

describe('samples/gate/pre-commit', () => {
  const git = (...args: string[]) => run('git', ['-c', 'user.name=Somebody', '-c', 'user.email=somebody@example.org', '-c', 'commit.gpgsign=false', ...args])

  test('stops a commit that brings a gouge, and lets one through that does not; a baseline makes what is known pass', () => {
    expect(git('init', '--quiet').code).toBe(0)
    job.write('.git/info/exclude', '.commands\n')
    copyFileSync(join(examples, 'pre-commit'), join(job.folder, '.git/hooks/pre-commit'))
    git('add', '.')
    const refused = git('commit', '--message', 'The plate as it is')
    expect(refused.code).toBe(1)
    expect(`${refused.output}${refused.errors}`).toContain('ERROR gouge')

    expect(run('toolwake', ['check', '.', '--write-baseline', 'toolwake-baseline.sarif']).code).toBe(0)
    git('add', '.')
    expect(git('commit', '--message', 'The plate as it is, its gouge known')).toMatchObject({ code: 0 })

    job.write('plate.nc', job.program.replace('N150 X-5.', 'N150 X-5. Z-0.3'))
    git('add', '.')
    expect(git('commit', '--message', 'Deeper').code).toBe(1)
    job.write('plate.nc', job.program.replace('O0012 (PLATE', 'O0012 (A PLATE'))
    git('add', '.')
    const passed = git('commit', '--message', 'Another comment')
    expect(passed.code, passed.errors).toBe(0)
  }, 120_000)
})

describe('samples/gate/check-archive', () => {
  const clean = () => job.program.replace('Z-0.05', 'Z0.')

  function archive(): void {
    mkdirSync(join(job.folder, 'an archive'))
    for (let n = 0; n < 6; n++) job.write(`an archive/p${n}.nc`, n === 4 ? job.program : clean())
  }

  /** The usual commands without `parallel`, in a folder of links. */
  function plainPath(): string {
    const folder = join(job.folder, '.plain')
    mkdirSync(folder)
    for (const name of ['sh', 'mkdir', 'rm', 'seq', 'env']) {
      const found = execFileSync('sh', ['-c', `command -v ${name}`], { encoding: 'utf8' }).trim()
      symlinkSync(found, join(folder, name))
    }
    return folder
  }

  test('one share after another: the same as one run, and a share that is missing is missed', () => {
    archive()
    const whole = run('toolwake', ['check', 'an archive', '--format', 'sarif'])
    const ended = run(join(examples, 'check-archive'), ['an archive', 'results'], { SHARDS: '3' }, plainPath())
    expect(ended.errors).toContain('Merged 3 files: 6 programs, 1 result.')
    expect(ended.code).toBe(1)
    expect(read('results/all.sarif')).toBe(whole.output)

    rmSync(join(job.folder, 'results/shard-2.sarif'))
    const lacking = run('toolwake', ['merge', ...[1, 2, 3].map(n => `results/shard-${n}.sarif`)])
    expect(lacking.code).toBe(2)
    expect(lacking.errors).toContain('results/shard-2.sarif is not there')
  }, 120_000)

  const hasParallel = spawnSync('parallel', ['--version'], { encoding: 'utf8' }).stdout?.startsWith('GNU parallel') === true
  test(`side by side with GNU parallel${hasParallel ? '' : ': not installed here, so the shares run one after another'}`, () => {
    archive()
    const whole = run('toolwake', ['check', 'an archive', '--format', 'sarif'])
    const ended = run(join(examples, 'check-archive'), ['an archive', 'results'], { SHARDS: '4', JOBS: '2' })
    expect(ended.code, ended.errors).toBe(1)
    expect(read('results/all.sarif')).toBe(whole.output)
  }, 120_000)

  test('with a baseline only what is new fails', () => {
    archive()
    run('toolwake', ['check', 'an archive', '--write-baseline', 'known.sarif'])
    expect(run(join(examples, 'check-archive'), ['an archive', 'results'], { SHARDS: '2', BASELINE: 'known.sarif' }).code).toBe(0)
    job.write('an archive/p1.nc', job.program)
    expect(run(join(examples, 'check-archive'), ['an archive', 'results'], { SHARDS: '2', BASELINE: 'known.sarif' }).code).toBe(1)
  }, 120_000)
})
