// Runs the suite in the extension host of a real editor: the served one, or with EDITOR=download the desktop one.
import { mkdirSync, readdirSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { runTests } from '@vscode/test-electron'
import { build } from 'esbuild'
import { makeScratchWorkspace } from './scratch-workspace.ts'

const here = (path: string): string => fileURLToPath(new URL(path, import.meta.url))
const bundles = here('../../.cache/editor-suite')
const shots = here('../../.cache/shots')
const desktop = process.env['EDITOR'] === 'download'

// The editor is told to end as well, and takes a moment: its end is waited for.
process.on('SIGTERM', () => { console.error('The run was broken off.') })

await bundleSuite()
mkdirSync(shots, { recursive: true })
const workspace = makeScratchWorkspace()
try {
  process.exitCode = await runTests({
    // The oldest desktop editor that offers what the extension asks for.
    ...(desktop ? { version: '1.91.0' } : { vscodeExecutablePath: here('./stand-in.ts') }),
    extensionDevelopmentPath: here('../..'),
    extensionTestsPath: join(bundles, 'run-mocha.cjs'),
    launchArgs: [workspace.folder],
    extensionTestsEnv: {
      EDITOR_TEST_PICTURE: join(shots, 'editor-suite-failed.png'),
    },
  })
} catch (failure) {
  console.error(failure)
  process.exitCode = 1
} finally {
  workspace.dispose()
}

/** One bundle a file: the runner in the editor picks the ones it was asked for. */
async function bundleSuite(): Promise<void> {
  rmSync(bundles, { recursive: true, force: true })
  await build({
    entryPoints: readdirSync(here('./suite')).filter(name => /^run-mocha\.ts$|\.suite\.ts$/.test(name)).map(name => here(`./suite/${name}`)),
    outdir: bundles,
    outExtension: { '.js': '.cjs' },
    bundle: true,
    platform: 'node',
    format: 'cjs',
    target: 'node20',
    sourcemap: 'inline',
    external: ['vscode', 'mocha'],
  })
}
