import { execFileSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync, statSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { unzipSync } from 'fflate'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { installExtension } from '../editor-server.ts'
import { until } from '../until.ts'
import { openFile, openWorkbench, runCommand, viewerFrame, type Workbench } from './workbench.ts'

// The extension as it is shipped: packed, looked into, installed from the file into an editor that has
// nothing else, and used there.

const root = fileURLToPath(new URL('../../..', import.meta.url))
const folder = mkdtempSync(join(tmpdir(), 'tw-'))
const file = join(folder, 'toolwake.vsix')
const extensionsFolder = join(folder, 'extensions')
let workbench: Workbench | undefined

beforeAll(async () => {
  execFileSync(process.execPath, [
    join(root, 'node_modules/@vscode/vsce/vsce'), 'package', '--no-dependencies', '--no-rewrite-relative-links', '--allow-missing-repository', '--out', file,
  ], { cwd: root, stdio: 'pipe' })
  await installExtension(file, join(folder, 'user'), extensionsFolder)
}, 120_000)
afterAll(async () => {
  await workbench?.close()
  rmSync(folder, { recursive: true, force: true })
})

describe('the packed extension', () => {
  test('holds what runs, the samples a newcomer opens, and the notices; nothing of the sources', () => {
    const names = Object.keys(unzipSync(readFileSync(file)))
    const inside = names.filter(name => name.startsWith('extension/')).map(name => name.slice('extension/'.length))
    const wanted = /^(package\.json|readme\.md|changelog\.md|LICENSE\.txt|THIRD-PARTY-NOTICES\.md|dist\/[\w-]+\.cjs|dist\/webview\.(js|css|js\.LEGAL\.txt)|client\/(grammar|icon|schemas|walkthrough)\/.+|samples\/.+|tests\/webview\/pictures\/(part-path-tool|cut-and-wake)\.png)$/
    expect(inside.filter(name => !wanted.test(name))).toEqual([])
    for (const needed of ['dist/client.cjs', 'dist/server.cjs', 'dist/contact-worker.cjs', 'dist/webview.js', 'client/schemas/setup.schema.json', 'tests/webview/pictures/cut-and-wake.png', 'THIRD-PARTY-NOTICES.md']) {
      expect(inside).toContain(needed)
    }
    expect(inside.filter(name => name.endsWith('.map') || name.endsWith('.ts'))).toEqual([])
    // Bytes. What grows beyond it has to say why.
    expect(statSync(file).size).toBeLessThan(3_000_000)
  })

  test('installed from the file it finds the gouge, shows it and draws the wake, and asks nothing of the outside', async () => {
    workbench = await openWorkbench({ extensionsFolder })
    const { page } = workbench
    await openFile(page, 'plate.nc')
    await page.locator('.squiggly-error').first().waitFor()
    await runCommand(page, 'Problems: Focus on Problems View')
    const gouge = page.locator('.markers-panel .monaco-list-row', { hasText: 'gouge' })
    await gouge.first().waitFor()
    expect(await gouge.first().innerText()).toMatch(/0\.05/)
    await runCommand(page, 'Toolwake: Show the Wake')
    await until('the drawn wake', async () => await viewerFrame(page).locator('#viewer canvas').count() > 0 || undefined)
    await workbench.shoot('installed-package')
    expect(workbench.watch.outside).toEqual([])
    expect(workbench.loggedErrors()).toEqual([])
  }, 120_000)
})
