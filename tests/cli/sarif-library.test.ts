import { spawnSync } from 'node:child_process'
import { existsSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { PlateJob } from '../harness/plate-job.ts'
import { runToolwake } from '../harness/run-toolwake.ts'

// SARIF read and written again by the general library of others, and then used by us as a baseline and for
// merging. The library is the command of the npm package @microsoft/sarif-multitool-linux (MIT, 104 MB, so it is
// not among our dependencies); the variable SARIF_LIBRARY names it where it is at hand.

const library = process.env['SARIF_LIBRARY'] ?? ''
const isAtHand = existsSync(library)
let job: PlateJob

beforeAll(() => { job = new PlateJob() })
afterAll(() => job.remove())

const read = (name: string) => readFileSync(join(job.folder, name), 'utf8')

/** What a library may leave out: values that the standard gives by itself. */
const defaults: Readonly<Record<string, unknown>> = { kind: 'fail', level: 'warning' }

function withoutDefaults(text: string): unknown {
  const shortened = JSON.parse(text, (key, value: unknown) => key in defaults && defaults[key] === value ? undefined : value) as object
  return JSON.parse(JSON.stringify(shortened), (key, value: unknown) => key === 'defaultConfiguration' && JSON.stringify(value) === '{}' ? undefined : value)
}

/** Stands in where the library is not at hand: a file in which every default is left out, as it writes them. */
function rewrite(from: string, to: string): void {
  if (!isAtHand) {
    job.write(to, JSON.stringify(withoutDefaults(read(from))))
    return
  }
  const ended = spawnSync(library, ['rewrite', join(job.folder, from), '--output', join(job.folder, to)], { encoding: 'utf8', env: { ...process.env, DOTNET_SYSTEM_GLOBALIZATION_INVARIANT: '1' } })
  expect(ended.status, ended.stdout).toBe(0)
}

test(`a log that another program has written again says the same, and serves as baseline and for merging${isAtHand ? '' : ' (the library is not at hand: its way of leaving out defaults stands in)'}`, async () => {
  job.write('plate.nc', job.program.replace('X20.', 'X20. G777'))
  const toolwake = (...args: string[]) => runToolwake(args, { folder: job.folder })
  await toolwake('check', 'plate.nc', '--format', 'sarif', '--output', 'first.sarif')
  rewrite('first.sarif', 'again.sarif')
  expect(withoutDefaults(read('again.sarif'))).toEqual(withoutDefaults(read('first.sarif')))

  const held = await toolwake('check', 'plate.nc', '--baseline', 'again.sarif', '--fail-on', 'note', '--format', 'sarif')
  const { runs } = JSON.parse(held.output) as { readonly runs: readonly { readonly results: readonly { readonly baselineState: string }[] }[] }
  expect(runs[0].results.map(({ baselineState }) => baselineState)).toEqual(['unchanged', 'unchanged'])
  expect(held.code).toBe(0)
  // A level that was left out counts as the warning it is.
  expect((await toolwake('merge', 'again.sarif', '--fail-on', 'warning')).code).toBe(1)
})
