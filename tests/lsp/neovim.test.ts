import { spawnSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { bundleServer } from '../harness/language-server.ts'
import { PlateJob } from '../harness/plate-job.ts'

// The server with a client that is not ours: the one built into Neovim (0.7 or newer), headless. `NEOVIM` names one that is not on
// the path. What other clients than our extension get is said in README.md.

interface Seen {
  readonly diagnostics: readonly { readonly code: string, readonly message: string, readonly range: { readonly start: { readonly line: number } } }[]
  readonly answers: Readonly<Record<string, unknown>>
  readonly text: readonly string[]
  readonly errors: readonly string[]
}

const program = fileURLToPath(new URL('./neovim.lua', import.meta.url))
const neovim = process.env.NEOVIM ?? 'nvim'

let job: PlateJob, seen: Seen
let bundle: Awaited<ReturnType<typeof bundleServer>>

beforeAll(async () => {
  bundle = await bundleServer()
  job = new PlateJob()
  job.write('plate.nc', job.program.replace('N190 G53', 'GOTO 200\nN190 G53'))
  const home = mkdtempSync(join(tmpdir(), 'toolwake-nvim-')), output = join(home, 'seen.json')
  writeFileSync(output, '')
  const { error, stderr, status } = spawnSync(neovim, ['--headless', '-u', 'NONE', '-i', 'NONE', '-n', '-c', `luafile ${program}`], {
    cwd: job.folder, encoding: 'utf8', timeout: 90_000,
    env: { ...process.env, XDG_CONFIG_HOME: home, XDG_DATA_HOME: home, XDG_STATE_HOME: home, XDG_CACHE_HOME: home, TOOLWAKE_NODE: process.execPath, TOOLWAKE_SERVER: bundle.path, TOOLWAKE_OUTPUT: output },
  })
  if (error !== undefined) throw new Error(`Neovim could not be run (${error.message}): install it (on Debian: apt-get install neovim), or set NEOVIM to its path.`)
  const said = readFileSync(output, 'utf8')
  if (said === '') throw new Error(`Neovim ended with ${status} and had nothing to say: ${stderr}`)
  seen = JSON.parse(said) as Seen
  rmSync(home, { recursive: true, force: true })
}, 120_000)

afterAll(() => {
  bundle.remove()
  job.remove()
})

describe('another editor', () => {
  it('shows the findings of text and contact', () => {
    expect(seen.errors).toEqual([])
    expect(seen.diagnostics.find(({ code }) => code === 'gouge')).toMatchObject({ range: { start: { line: job.lineOf('N130') } }, message: expect.stringContaining('below the part') as string })
  })

  it('has hover, completion, definition, references, symbols, folds and signatures', () => {
    const { hover, completion, definition, references, symbols, folds, signature, lens } = seen.answers
    expect(hover).toMatchObject({ contents: { value: expect.stringMatching(/^\*\*G1\*\*: straight cut.*tool point on the part/s) as string } })
    expect((completion as { items: { label: string }[] }).items.map(item => item.label)).toContain('G83')
    expect(definition).toMatchObject([{ range: { start: { line: job.lineOf('N200') + 1 } } }])
    expect(references).toHaveLength(2)
    expect(symbols).toMatchObject([{ name: 'O12', children: [{ name: 'T1', detail: 'ball 6' }] }])
    expect(folds).not.toHaveLength(0)
    expect(signature).toMatchObject({ signatures: [{ label: 'G83 [X] [Y] Z R Q [L]' }] })
    expect(lens).toMatchObject([{ command: { title: expect.stringContaining('deep') as string } }])
  })

  it('renames a sequence number and its jump in the buffer', () => {
    expect(seen.text).toContain('GOTO 205')
    expect(seen.text.some(line => line.startsWith('N205 M30'))).toBe(true)
  })

  it('is not offered what only our extension can show', () => {
    expect(seen.answers.links).toEqual([])
  })
})
