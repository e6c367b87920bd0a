import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { isTimeout } from '../browser.ts'
import { until } from '../until.ts'
import { openFile, openWorkbench, runCommand } from './workbench.ts'
import type { Workbench } from './workbench.ts'

let workbench: Workbench

beforeAll(async () => {
  workbench = await openWorkbench()
  // A second program, which no sheet names and nobody opens.
  writeFileSync(join(workbench.folder, 'other.nc'), 'G21 G17 G90 G94 G40 G49 G54\nG0 X10. Y20 Z5.\nM30\n')
})

afterAll(async () => {
  await workbench.close()
})

describe('checking a folder as a task', () => {
  test('lists the findings of all its programs, of which none is open', async () => {
    const { page } = workbench
    const rows = page.locator('.markers-panel .monaco-list-row')
    const listed = async (): Promise<string> => (await rows.allInnerTexts()).join('\n').replaceAll('\u00a0', ' ')
    await runCommand(page, 'Problems: Focus on Problems View')
    await page.locator('.markers-panel', { hasText: 'No problems have been detected' }).waitFor()
    await runTask(page)
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
    expect(text).toMatch(/Tool 3's cutter cuts 0\.05\d mm .* below the part's surface/)
    // The place is that of the block, not of the file.
    expect(text).toMatch(/Ln 2, Col \d+/)
    // Opened, the program is told of by the language server in the task's stead, not once more beside it.
    await openFile(page, 'plate.nc')
    await page.locator('.squiggly-error').first().waitFor()
    expect(await rows.filter({ hasText: 'gouge' }).count()).toBe(1)
    expect(await rows.filter({ hasText: 'setup-not-found' }).count()).toBe(1)
    expect(workbench.watch.outside).toEqual([])
  })
})

/** Chooses the kind of task, then the task. The list of commands may be closed by what had the focus before; then it is opened again. */
async function runTask(page: Workbench['page']): Promise<void> {
  const input = page.locator('.quick-input-widget input.input')
  const offer = page.locator('.quick-input-list .monaco-list-row')
  await until('the kinds of tasks', async () => {
    if (!await input.isVisible()) await page.keyboard.press('F1')
    try {
      await input.fill('>Tasks: Run Task', { timeout: 2_000 })
      await offer.filter({ hasText: 'Tasks: Run Task' }).first().click({ timeout: 2_000 })
      await offer.filter({ hasText: 'toolwake' }).first().click({ timeout: 10_000 })
      return true
    } catch (failure) {
      if (isTimeout(failure)) return undefined
      throw failure
    }
  })
  await offer.filter({ hasText: 'check all programs of this folder' }).first().click()
}
