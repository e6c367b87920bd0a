import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest'
import type { Locator, Page } from '../browser.ts'
import { pictureFigures } from '../picture.ts'
import { until } from '../until.ts'
import { closeAll, cursorLine, goToLine, lineWith, openFile, openWorkbench, runCommand, viewerFrame } from './workbench.ts'
import type { Workbench } from './workbench.ts'

let workbench: Workbench

beforeAll(async () => {
  workbench = await openWorkbench()
})

afterEach(async ({ task }) => {
  if (task.result?.state === 'fail') console.error(`The screen at the failure: ${await workbench.shoot(`failed-${task.name.replaceAll(/\W+/g, '-')}`)}`)
  await closeAll(workbench.page)
})

afterAll(async () => {
  await workbench.close()
})

describe('the viewer on the screen', () => {
  test('draws part, path, tool and findings', async () => {
    const { page, browser } = workbench
    const viewer = await openViewer(page)
    expect(Number(await viewer.getAttribute('data-triangles'))).toBe(12)
    expect(Number(await viewer.getAttribute('data-segments'))).toBeGreaterThan(10)
    await goToLine(page, lines.N140)
    await until('the tool', async () => await viewer.getAttribute('data-tool') === '3' || undefined)
    await until('the gouge in the list', async () => Number(await viewer.getAttribute('data-findings')) > 1 || undefined)
    await settled(viewer)
    const figures = await pictureFigures(browser, viewer.locator('canvas.scene'))
    // Ground, shaded part, path and tool: a canvas that drew nothing has one colour.
    expect(figures.colours).toBeGreaterThan(20)
    expect(figures.largestShare).toBeLessThan(0.95)
  })

  test('shows the block under the cursor and follows it', async () => {
    const { page } = workbench
    const viewer = await openViewer(page)
    const before = await toolAt(page, viewer, lines.N100)
    const after = await toolAt(page, viewer, lines.N110)
    expect(Math.hypot(after.x - before.x, after.y - before.y)).toBeGreaterThan(20)
  })

  test('a click on the path moves the cursor to its block', async () => {
    const { page } = workbench
    const viewer = await openViewer(page)
    // N110 runs straight from the end of N100 to its own end, and a straight line is one on the screen too.
    const from = await toolAt(page, viewer, lines.N100)
    const to = await toolAt(page, viewer, lines.N110)
    await toolAt(page, viewer, lines.N60)
    expect(await cursorLine(page)).toBe(lines.N60)
    await viewer.locator('canvas.scene').click({ position: { x: (from.x + to.x) / 2, y: (from.y + to.y) / 2 } })
    await until('the cursor in N110', async () => await cursorLine(page) === lines.N110 || undefined)
  })

  test('a finding chosen in its list moves the cursor to its block', async () => {
    const { page } = workbench
    const viewer = await openViewer(page)
    await goToLine(page, lines.N60)
    await viewer.locator('.findings .rule', { hasText: 'gouge' }).click()
    await until('the cursor in the gouge', async () => {
      const line = await cursorLine(page)
      return line >= lines.N130 && line <= lines.N150 || undefined
    })
  })

  test('a mend is shown as text and in the picture, made as one step, and undone as one', async () => {
    const { page, folder } = workbench
    const onDisk = () => readFileSync(join(folder, 'plate.nc'), 'utf8'), original = onDisk()
    await openFile(page, 'plate.nc')
    await page.locator('.statusbar-item[id*="toolwake.status"] .codicon-check').waitFor()
    await showMend(page)
    // Before on one side and after on the other, or under each other where there is little room.
    const diff = page.locator('.monaco-diff-editor')
    await until('the mended text', async () => (await diff.locator('.editor.modified .view-line').allInnerTexts()).some(line => line.replaceAll('\u00a0', ' ') === 'N130 X0. Z0.') || undefined)
    expect(await diff.locator('.line-insert').count()).toBeGreaterThan(0)
    expect(await diff.locator('.line-delete').count()).toBeGreaterThan(0)
    const viewer = viewerFrame(page).locator('#viewer')
    await until('both ways in the picture', async () => await viewer.getAttribute('data-changes') === '1' || undefined)
    await until('the tool at the block', async () => await viewer.getAttribute('data-pose-line') === String(lines.N130) || undefined)
    expect(await viewer.locator('.changes p').first().innerText()).toMatch(/^lift: 0\.050 mm off the surface; cutter against part: 0\.0\d\d mm deep ± 0\.001 \(proven\); .*In the mended program one stretch runs another way/)
    await settled(viewer)
    await workbench.shoot('mend-shown')
    expect(onDisk()).toBe(original)

    await page.locator('.editor-actions a[aria-label^="Make This Mend"]').click()
    await diff.waitFor({ state: 'detached' })
    await lineWith(page, 'N130 X0. Z0.').waitFor()
    await until('the end of the gouge', async () => await page.locator('.squiggly-error').count() === 0 || undefined)
    await until('one version alone in the picture', async () => await viewer.getAttribute('data-changes') === null || undefined)
    await page.keyboard.press('Control+S')
    await until('the mended program on the disk', () => onDisk() === original.replace('Z-0.05', 'Z0.') || undefined)
    await page.keyboard.press('Control+Z')
    await page.locator('.squiggly-error').first().waitFor()
    await page.keyboard.press('Control+S')
    await until('the original program on the disk', () => onDisk() === original || undefined)
  })

  test('a mend that is left leaves the program as it is', async () => {
    const { page } = workbench
    const viewer = await openViewer(page)
    await page.locator('.statusbar-item[id*="toolwake.status"] .codicon-check').waitFor()
    await goToLine(page, lines.N130)
    await runCommand(page, 'Toolwake: Mend This Finding and Show What Changes')
    await page.locator('.monaco-diff-editor').waitFor()
    await until('both ways in the picture', async () => await viewer.getAttribute('data-changes') === '1' || undefined)
    await page.locator('.editor-actions a[aria-label^="Leave It As It Is"]').click()
    await page.locator('.monaco-diff-editor').waitFor({ state: 'detached' })
    await until('one version alone in the picture', async () => await viewer.getAttribute('data-changes') === null || undefined)
    await lineWith(page, 'N130 X0. Z-0.05').waitFor()
    expect(await page.locator('.tab.dirty').count()).toBe(0)
  })

  test('goes with the theme, light and dark', async () => {
    const { page, browser } = workbench
    const viewer = await openViewer(page)
    await goToLine(page, lines.N140)
    const figures = async (scheme: 'dark' | 'light'): Promise<number> => {
      await page.emulateMedia({ colorScheme: scheme })
      await page.locator(scheme === 'light' ? '.monaco-workbench.vs' : '.monaco-workbench.vs-dark').waitFor()
      await settled(viewer)
      await workbench.shoot(`viewer-${scheme}`)
      return (await pictureFigures(browser, viewer.locator('canvas.scene'))).groundBrightness
    }
    const light = await figures('light')
    const dark = await figures('dark')
    expect(light).toBeGreaterThan(0.6)
    expect(dark).toBeLessThan(0.4)
  })

  test('nothing was asked of the outside, and nothing went wrong unseen', () => {
    expect(workbench.watch.outside).toEqual([])
    expect(workbench.watch.errors).toEqual([])
    expect(workbench.loggedErrors()).toEqual([])
  })
})

/** 1-based lines of the small program's blocks. */
const lines = { N60: 8, N100: 12, N110: 13, N130: 15, N140: 16, N150: 17 } as const

/** Takes the quick fix that mends the gouge, from the list that the editor opens in its line. */
async function showMend(page: Page): Promise<void> {
  await goToLine(page, lines.N130)
  await page.keyboard.press('Control+.')
  await page.locator('.action-widget .monaco-list-row', { hasText: 'Mend gouge and show what changes' }).click()
  await page.locator('.monaco-diff-editor').waitFor()
}

/** Opens the program and its viewer, and waits until there is something in it. */
async function openViewer(page: Page): Promise<Locator> {
  await openFile(page, 'plate.nc')
  await page.locator('.squiggly-error').first().waitFor()
  await runCommand(page, 'Toolwake: Show the Wake')
  const viewer = viewerFrame(page).locator('#viewer')
  await until('the picture', async () => {
    const state = await viewer.getAttribute('data-state')
    if (state === 'failed') throw new Error(`The viewer says: ${await viewer.getAttribute('data-message')}`)
    return state === 'ready' || undefined
  })
  return viewer
}

/** Puts the cursor on the line, and gives the tool's place in the picture. */
async function toolAt(page: Page, viewer: Locator, line: number): Promise<{ x: number, y: number }> {
  await goToLine(page, line)
  await until(`the pose of line ${line}`, async () => await viewer.getAttribute('data-pose-line') === String(line) || undefined)
  await settled(viewer)
  const [x, y] = (await viewer.getAttribute('data-tool-at') ?? '').split(',').map(Number)
  if (!Number.isFinite(x) || !Number.isFinite(y)) throw new Error(`The viewer gives no place of the tool on line ${line}.`)
  return { x, y }
}

/** Waits until the viewer draws no new pictures. */
async function settled(viewer: Locator): Promise<void> {
  let frames = ''
  await until('a picture at rest', async () => {
    const isFull = await viewer.getAttribute('data-picture') === 'drawn'
    const now = await viewer.getAttribute('data-frames') ?? ''
    // Two pictures of the page with none of the viewer's own between them.
    await viewer.evaluate(() => new Promise(drawn => requestAnimationFrame(() => requestAnimationFrame(drawn))))
    const rests = isFull && now !== '' && now === frames
    frames = now
    return rests || undefined
  })
}
