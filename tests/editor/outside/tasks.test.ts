import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { until } from '../until.ts'
import { askInput, openFile, openWorkbench, runCommand } from './workbench.ts'
import type { Workbench } from './workbench.ts'

let workbench: Workbench

beforeAll(async () => {
  workbench = await openWorkbench()
  // A second program, which no sheet names and nobody opens, and a third, for which a sheet has been chosen.
  const text = 'G21 G17 G90 G94 G40 G49 G54\nG0 X10. Y20 Z5.\nM30\n'
  for (const name of ['other.nc', 'chosen.nc']) writeFileSync(join(workbench.folder, name), text)
  mkdirSync(join(workbench.folder, '.vscode'), { recursive: true })
  writeFileSync(join(workbench.folder, '.vscode/settings.json'), JSON.stringify({ 'toolwake.setupSheets': { 'chosen.nc': 'plate.setup.json' } }))
})

afterAll(async () => {
  await workbench.close()
})

describe('checking a folder as a task', () => {
  test('checks what a task of tasks.json names, and no more', async () => {
    const { page, folder } = workbench
    const task = { type: 'toolwake', label: 'check the trial', programs: ['other.nc'], problemMatcher: ['$toolwake', '$toolwake-file'] }
    writeFileSync(join(folder, '.vscode/tasks.json'), JSON.stringify({ version: '2.0.0', tasks: [task] }))
    const rows = page.locator('.markers-panel .monaco-list-row')
    await runCommand(page, 'Problems: Focus on Problems View')
    await page.locator('.markers-panel', { hasText: 'No problems have been detected' }).waitFor()
    await runTask(page, 'check the trial')
    await runCommand(page, 'Problems: Focus on Problems View')
    await rows.filter({ hasText: 'missing-decimal-point' }).waitFor()
    await rows.filter({ hasText: 'setup-not-found' }).waitFor()
    await workbench.shoot('task-named')
    expect((await rows.allInnerTexts()).join('\n')).not.toMatch(/plate\.nc/)
  })

  test('lists the findings of all its programs, of which none is open', async () => {
    const { page } = workbench
    const rows = page.locator('.markers-panel .monaco-list-row')
    const listed = async (): Promise<string> => (await rows.allInnerTexts()).join('\n').replaceAll('\u00a0', ' ')
    await runCommand(page, 'Problems: Focus on Problems View')
    expect(await listed()).not.toMatch(/plate\.nc/)
    await runTask(page, 'toolwake', 'check all programs of this folder')
    await runCommand(page, 'Problems: Focus on Problems View')
    try {
      await until('the findings of both programs', async () => {
        const text = await listed()
        return /gouge/.test(text) && /missing-decimal-point/.test(text) && /setup-not-found/.test(text) || undefined
      })
    } finally {
      await workbench.shoot('task-problems')
    }
    const text = await listed()
    expect(text).toMatch(/plate\.nc/)
    expect(text).toMatch(/other\.nc/)
    expect(text).toMatch(/chosen\.nc/)
    expect(text).toMatch(/Tool 3's cutter cuts 0\.05\d mm .* below the part's surface/)
    // The place is that of the block, not of the file.
    expect(text).toMatch(/Ln 2, Col \d+/)
    // Opened, the program is told of by the language server in the task's stead, not once more beside it.
    await openFile(page, 'plate.nc')
    await page.locator('.squiggly-error').first().waitFor()
    await expect.poll(() => rows.filter({ hasText: 'gouge' }).count()).toBe(1)
    await expect.poll(() => rows.filter({ hasText: 'setup-not-found' }).count()).toBe(1)
    expect(workbench.watch.outside).toEqual([])
  })
})

/** Chooses from the list of tasks, and from the list that follows where there is one. */
async function runTask(page: Workbench['page'], first: string, second?: string): Promise<void> {
  await askInput(page, 'F1', '>Tasks: Run Task', first, async offers => {
    await offers.filter({ hasText: 'Tasks: Run Task' }).first().click({ timeout: 2_000 })
    await offers.filter({ hasText: first }).first().click({ timeout: 10_000 })
  })
  if (second !== undefined) await page.locator('.quick-input-list .monaco-list-row').filter({ hasText: second }).first().click()
}
