// Tries spoilt inputs for five minutes, or as long as `--seconds` says; with `--messages` first in the line, messages to the server and between
// the viewer's page and its host for a minute; see tests/fuzz. Runs on Node 20 and 24.
import { spawnSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { build } from 'esbuild'

const root = join(dirname(fileURLToPath(import.meta.url)), '..')
const withMessages = process.argv[2] === '--messages'
const folder = mkdtempSync(join(tmpdir(), 'toolwake-fuzz-'))
let status = 1
try {
  const outfile = join(folder, 'fuzz.mjs')
  await build({
    entryPoints: [join(root, withMessages ? 'tests/fuzz/messages.ts' : 'tests/fuzz/main.ts')], outfile, bundle: true, format: 'esm', platform: 'node', target: 'node20', mainFields: ['module', 'main'], logLevel: 'warning',
  })
  const trace = join(folder, 'seed')
  const words = withMessages ? ['--server', builtServer(), ...process.argv.slice(3)] : ['--trace', trace, ...process.argv.slice(2)]
  status = spawnSync(process.execPath, [outfile, '--root', root, ...words], { stdio: 'inherit' }).status ?? 1
  if (status !== 0 && !withMessages) console.error(`Seed ${readFileSync(trace, 'utf8').trim()}; npm run fuzz -- --seed N tries one case again.`)
} finally {
  rmSync(folder, { recursive: true, force: true })
}
process.exit(status)

/** The server as it is shipped, from the sources as they stand. */
function builtServer() {
  if (spawnSync(process.execPath, [join(root, 'esbuild.js')], { cwd: root, stdio: 'inherit' }).status !== 0) throw new Error('The server could not be built.')
  return join(root, 'dist/server.cjs')
}
