// A million random queries against the brute-force twin; see tests/prove. Runs on Node 20 and 24.
import { spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { build } from 'esbuild'

const root = join(dirname(fileURLToPath(import.meta.url)), '..')
const folder = mkdtempSync(join(tmpdir(), 'toolwake-prove-'))
let status = 1
try {
  const outfile = join(folder, 'prove.mjs')
  await build({ entryPoints: [join(root, 'tests/prove/main.ts')], outfile, bundle: true, format: 'esm', platform: 'node', target: 'node20', mainFields: ['module', 'main'], logLevel: 'warning' })
  status = spawnSync(process.execPath, [outfile, ...process.argv.slice(2)], { stdio: 'inherit' }).status ?? 1
} finally {
  rmSync(folder, { recursive: true, force: true })
}
process.exit(status)
