// A session of edits for twenty minutes, or as long as `--seconds` says; see tests/soak. Runs on Node 20 and 24.
import { spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { build } from 'esbuild'

const root = join(dirname(fileURLToPath(import.meta.url)), '..')
const folder = mkdtempSync(join(tmpdir(), 'toolwake-soak-'))
let status = 1
try {
  const built = spawnSync(process.execPath, [join(root, 'esbuild.js')], { cwd: root, stdio: 'inherit' })
  if (built.status !== 0) throw new Error('The server could not be built.')
  const outfile = join(folder, 'soak.mjs')
  await build({
    entryPoints: [join(root, 'tests/soak/main.ts')], outfile, bundle: true, format: 'esm', platform: 'node', target: 'node20', mainFields: ['module', 'main'], logLevel: 'warning',
    external: ['esbuild'], banner: { js: 'import { createRequire } from "node:module"; const require = createRequire(import.meta.url)' },
  })
  status = spawnSync(process.execPath, [outfile, '--root', root, '--server', join(root, 'dist/server.cjs'), ...process.argv.slice(2)], { stdio: 'inherit' }).status ?? 1
} finally {
  rmSync(folder, { recursive: true, force: true })
}
process.exit(status)
