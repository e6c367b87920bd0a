// Tries spoilt inputs for five minutes, or as long as `--seconds` says; see tests/fuzz. Runs on Node 20 and 24.
import { spawnSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { build } from 'esbuild'

const root = join(dirname(fileURLToPath(import.meta.url)), '..')
const folder = mkdtempSync(join(tmpdir(), 'toolwake-fuzz-'))
let status = 1
try {
  const outfile = join(folder, 'fuzz.mjs')
  await build({
    entryPoints: [join(root, 'tests/fuzz/main.ts')], outfile, bundle: true, format: 'esm', platform: 'node', target: 'node20', mainFields: ['module', 'main'], logLevel: 'warning',
  })
  const trace = join(folder, 'seed')
  status = spawnSync(process.execPath, [outfile, '--root', root, '--trace', trace, ...process.argv.slice(2)], { stdio: 'inherit' }).status ?? 1
  if (status !== 0) console.error(`Seed ${readFileSync(trace, 'utf8').trim()}; npm run fuzz -- --seed N tries one case again.`)
} finally {
  rmSync(folder, { recursive: true, force: true })
}
process.exit(status)
