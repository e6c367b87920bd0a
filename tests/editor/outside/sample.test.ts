// The main sample as a user meets it: thousands of blocks, hundreds of thousands of triangles.
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest'
import { pictureFigures } from '../picture.ts'
import { until } from '../until.ts'
import { closeAll, cursorLine, openFile, openWorkbench, runCommand, viewerFrame } from './workbench.ts'
import type { Workbench } from './workbench.ts'

const folder = fileURLToPath(new URL('../../../samples/duct', import.meta.url))
/** Rule and line of each fault, from the table beside the program. */
const faults = [...readFileSync(join(folder, 'README.md'), 'utf8').matchAll(/^\| `([a-z-]+)` \| N\d+ \| (\d+) \|/gm)]
  .map(([, rule, line]) => `${rule} ${line}`).sort()

let workbench: Workbench

beforeAll(async () => {
  workbench = await openWorkbench({ folder })
})

afterEach(async ({ task }) => {
  if (task.result?.state === 'fail') console.error(`The screen at the failure: ${await workbench.shoot(`failed-${task.name.replaceAll(/\W+/g, '-')}`)}`)
  await closeAll(workbench.page)
})

afterAll(async () => {
  await workbench.close()
})

describe('the duct on the screen', () => {
  test('the edited program has the faults that its list names, and no others', async () => {
    const { page } = workbench
    await openFile(page, 'throat-edited.nc')
    await runCommand(page, 'Problems: Focus on Problems View')
    await searchIsDone(workbench)
    const found = page.locator('.markers-panel .monaco-list-row', { hasText: 'toolwake' })
    const rules = await until('all findings in the list', async () => {
      const rows = await found.allInnerTexts()
      // Each row: the message, our name, the rule, the place.
      return rows.length >= faults.length ? rows.map(row => /toolwake\s+([a-z-]+)\s+\[Ln (\d+)/.exec(row)?.slice(1).join(' ') ?? row) : undefined
    })
    expect(faults.length).toBeGreaterThan(5)
    expect(rules.sort()).toEqual(faults)
    await workbench.shoot('sample-problems')
  })

  test('the viewer draws the casting and leads to the gouge', async () => {
    const { page, browser } = workbench
    await openFile(page, 'throat-edited.nc')
    await searchIsDone(workbench)
    await runCommand(page, 'Toolwake: Show the Wake')
    const viewer = viewerFrame(page).locator('#viewer')
    await until('the picture', async () => await viewer.getAttribute('data-state') === 'ready' || undefined, 60)
    expect(Number(await viewer.getAttribute('data-triangles'))).toBeGreaterThan(200_000)
    expect(Number(await viewer.getAttribute('data-segments'))).toBeGreaterThan(5_000)
    await viewer.locator('.findings .rule', { hasText: 'gouge' }).click()
    await until('the cursor in the gouge', async () => await cursorLine(page) === 2430 || undefined)
    await until('the tool in the gouge', async () => await viewer.getAttribute('data-pose-line') === '2430' || undefined)
    expect((await pictureFigures(browser, viewer.locator('canvas.scene'))).colours).toBeGreaterThan(20)
    for (const scheme of ['light', 'dark'] as const) {
      await page.emulateMedia({ colorScheme: scheme })
      await page.locator(scheme === 'light' ? '.monaco-workbench.vs' : '.monaco-workbench.vs-dark').waitFor()
      await workbench.shoot(`sample-${scheme}`)
    }
  })

  test('nothing was asked of the outside, and nothing went wrong unseen', () => {
    expect(workbench.watch.outside).toEqual([])
    expect(workbench.watch.errors).toEqual([])
    expect(workbench.loggedErrors()).toEqual([])
  })
})

/** Waits until the status bar says that the whole path was searched. */
async function searchIsDone({ page }: Workbench): Promise<void> {
  const item = page.locator('.statusbar-item[id*="toolwake.status"]')
  await until('the end of the search', async () => await item.locator('.codicon-check').count() === 1 || undefined, 60)
}
