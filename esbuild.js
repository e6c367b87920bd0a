// Makes the bundles that are run: each entry point with everything it needs in one file.
// `--watch` keeps at it; `--only NAME,NAME` makes some of them.
import { chmod, mkdir, readFile, writeFile } from 'node:fs/promises'
import { existsSync } from 'node:fs'
import { build, context } from 'esbuild'

const { version } = JSON.parse(await readFile('package.json', 'utf8'))

/** Node reads these as CommonJS: the editor loads its extensions so, and one file needs no module look-up. */
const forNode = {
  platform: 'node',
  format: 'cjs',
  target: 'node20',
  bundle: true,
  sourcemap: true,
  legalComments: 'none',
  logLevel: 'warning',
  // Packages that offer both forms are taken in the one that bundles without `require` of paths.
  mainFields: ['module', 'main'],
  // A bundle finds the worker beside itself, as the sources would.
  define: { 'import.meta.dirname': '__dirname' },
}

const bundles = {
  client: { ...forNode, entryPoints: ['client/extension.ts'], outfile: 'dist/client.cjs', external: ['vscode'] },
  server: { ...forNode, entryPoints: ['server/lsp/main.ts'], outfile: 'dist/server.cjs', define: { ...forNode.define, TOOLWAKE_VERSION: JSON.stringify(version) } },
  cli: { ...forNode, entryPoints: ['server/cli/main.ts'], outfile: 'dist/cli.cjs', define: { ...forNode.define, TOOLWAKE_VERSION: JSON.stringify(version) }, banner: { js: '#!/usr/bin/env node' } },
  'contact-worker': { ...forNode, entryPoints: ['server/edge/contact-worker.ts'], outfile: 'dist/contact-worker.cjs' },
  // The samples' mesh is worked out where it is wanted: it is too large to travel.
  'duct-mesh': { ...forNode, entryPoints: ['samples/duct/make-stl.ts'], outfile: 'dist/duct-mesh.cjs' },
  'stock-worker': { ...forNode, entryPoints: ['server/edge/stock-worker.ts'], outfile: 'dist/stock-worker.cjs' },
  'result-worker': { ...forNode, entryPoints: ['server/edge/result-worker.ts'], outfile: 'dist/result-worker.cjs' },
  // The page may not load modules from elsewhere, so it gets one script that runs by itself.
  webview: {
    entryPoints: ['webview/main.ts'],
    outfile: 'dist/webview.js',
    platform: 'browser',
    format: 'iife',
    target: 'es2022',
    bundle: true,
    minify: true,
    sourcemap: true,
    legalComments: 'linked',
    logLevel: 'warning',
  },
}

const options = process.argv.slice(2)
const onlyAt = options.indexOf('--only')
const wanted = onlyAt < 0 ? Object.keys(bundles) : (options[onlyAt + 1] ?? '').split(',')

const unknown = wanted.filter(name => !(name in bundles))
if (unknown.length > 0) fail(`There is no bundle named ${unknown.join(', ')}. The bundles are ${Object.keys(bundles).join(', ')}.`)
const missing = wanted.filter(name => !existsSync(bundles[name].entryPoints[0]))
if (missing.length > 0) fail(`No bundle was made: ${missing.map(name => bundles[name].entryPoints[0]).join(', ')} ${missing.length === 1 ? 'is' : 'are'} not there.`)

await mkdir('dist', { recursive: true })
if (options.includes('--watch')) {
  await Promise.all(wanted.map(async name => (await context({ ...bundles[name], logLevel: 'info' })).watch()))
} else {
  try {
    const built = await Promise.all(wanted.map(name => build({ ...bundles[name], metafile: true })))
    if (onlyAt < 0) await writeFile('dist/packages.json', JSON.stringify(packagesIn(built), undefined, 2) + '\n')
    if (wanted.includes('cli')) await chmod('dist/cli.cjs', 0o755)
  } catch {
    // esbuild has already printed what it could not bundle, with file and line.
    fail('The bundles could not be made; see above.')
  }
}

/** Names of the packages that went into the bundles; a test holds the notices against them. */
function packagesIn(built) {
  const inputs = built.flatMap(({ metafile }) => Object.values(metafile.outputs).flatMap(output => Object.entries(output.inputs)))
  const names = inputs.filter(([, { bytesInOutput }]) => bytesInOutput > 0).flatMap(([path]) => /.*node_modules\/((?:@[^/]+\/)?[^/]+)/.exec(path)?.[1] ?? [])
  return [...new Set(names)].sort()
}

function fail(sentence) {
  console.error(sentence)
  process.exit(1)
}
