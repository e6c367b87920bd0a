// Measures the engine beside its peers; see tests/bench. Bundles into a folder of its own that is
// removed again, since the search's threads need a file to start from. Runs on Node 20 and 24.
import { spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { build } from 'esbuild'

const root = join(dirname(fileURLToPath(import.meta.url)), '..')
const folder = mkdtempSync(join(tmpdir(), 'toolwake-bench-'))
let status = 1
try {
  await build({
    entryPoints: { bench: join(root, 'tests/bench/main.ts'), 'contact-worker': join(root, 'server/edge/contact-worker.ts'), 'result-worker': join(root, 'server/edge/result-worker.ts') },
    outdir: folder, outExtension: { '.js': '.mjs' }, bundle: true, format: 'esm', platform: 'node', target: 'node20', mainFields: ['module', 'main'], logLevel: 'warning', external: ['esbuild'],
    // Packages in the older form of modules look for what comes with Node in that form.
    banner: { js: "import { createRequire as requireFrom } from 'node:module'; const require = requireFrom(import.meta.url)" },
  })
  await build({
    entryPoints: { server: join(root, 'server/lsp/main.ts'), 'contact-worker': join(root, 'server/edge/contact-worker.ts') },
    outdir: folder, outExtension: { '.js': '.cjs' }, bundle: true, format: 'cjs', platform: 'node', target: 'node20', mainFields: ['module', 'main'], logLevel: 'warning',
    define: { 'import.meta.dirname': '__dirname' },
  })
  const worker = join(folder, 'contact-worker.mjs')
  status = spawnSync(process.execPath, [join(folder, 'bench.mjs'), '--worker', worker, '--server', join(folder, 'server.cjs'), '--root', root, ...process.argv.slice(2)], { stdio: 'inherit' }).status ?? 1
} finally {
  rmSync(folder, { recursive: true, force: true })
}
process.exit(status)
