import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest'
import { until } from '../until.ts'
import { closeAll, cursorLine, goToPlace, lineWith, openFile, openWorkbench, runCommand } from './workbench.ts'
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

describe('findings on the screen', () => {
  test('the squiggle stands under the very word', async () => {
    const { page } = workbench
    await openFile(page, 'plate.nc')
    await page.locator('.squiggly-warning').first().waitFor()
    // The line above the tool moves what stands below it when it comes: both places are measured until they agree.
    const { word, under } = await until('a squiggle in the line of X25', async () => {
      const word = await wordBox('N90 X25 Y-20', 'X25')
      // One that is drawn anew meanwhile has no place.
      const boxes = await Promise.all((await page.locator('.squiggly-warning').all()).map(squiggle => squiggle.boundingBox({ timeout: 1_000 }).catch(() => null)))
      const under = boxes.find(box => box !== null && Math.abs(box.y - word.y) < 4)
      return under ? { word, under } : undefined
    })
    // Pixels: the wave may reach a little beyond the letters.
    expect(Math.abs(under.x - word.x)).toBeLessThan(2)
    expect(Math.abs(under.width - word.width)).toBeLessThan(2)
  })

  test('the list of problems says it in our words, and leads to the block', async () => {
    const { page } = workbench
    await openFile(page, 'plate.nc')
    await runCommand(page, 'Problems: Focus on Problems View')
    const gouge = page.locator('.markers-panel .monaco-list-row', { hasText: 'gouge' })
    await gouge.waitFor()
    expect(await gouge.innerText()).toMatch(/0\.05/)
    const point = page.locator('.markers-panel .monaco-list-row', { hasText: 'missing-decimal-point' })
    expect(await point.innerText()).toMatch(/X25/)
    await point.dblclick()
    await until('the cursor in the block', async () => await cursorLine(page) === 11 || undefined)
  })

  test('hover tells the state, the tool and the clearance', async () => {
    const { page } = workbench
    await openFile(page, 'plate.nc')
    await page.locator('.squiggly-error').first().waitFor()
    const hover = page.locator('.monaco-hover:not(.hidden) .hover-contents', { hasText: /cutter/i })
    // The line above the tool moves what stands below it when it comes: then the pointer goes after the word.
    await until('a hover with the cutter', async () => {
      const word = await wordBox('N140 X25. Z0.', 'X25.')
      await page.mouse.move(word.x + word.width / 2 + 1, word.y + word.height / 2)
      await page.mouse.move(word.x + word.width / 2, word.y + word.height / 2)
      return hover.first().waitFor({ timeout: 3_000 }).then(() => true, () => undefined)
    })
    expect((await page.locator('.monaco-hover:not(.hidden)').first().innerText()).replaceAll('\u00a0', ' ')).toMatch(/G1\b/)
    await workbench.shoot('hover')
  })

  test('typing the missing point takes the squiggle away', async () => {
    const { page } = workbench
    await openFile(page, 'plate.nc')
    await page.locator('.squiggly-warning').first().waitFor()
    const before = await page.locator('.squiggly-warning').count()
    await goToPlace(page, 11, 'N90 X25'.length + 1)
    await page.keyboard.type('.')
    await lineWith(page, 'N90 X25. Y-20.').waitFor()
    await until('the end of the squiggle', async () => await page.locator('.squiggly-warning').count() === before - 1 || undefined)
  })

  test('the status bar says when the search is done', async () => {
    const { page } = workbench
    await openFile(page, 'plate.nc')
    const item = page.locator('.statusbar-item[id*="toolwake.status"]')
    await item.waitFor()
    await until('a finished search', async () => await item.locator('.codicon-check').count() === 1 || undefined)
    expect(await item.innerText()).not.toBe('')
    await workbench.shoot('findings')
  })

  test('nothing was asked of the outside, and nothing went wrong unseen', () => {
    expect(workbench.watch.outside).toEqual([])
    expect(workbench.watch.errors).toEqual([])
    expect(workbench.loggedErrors()).toEqual([])
  })
})

/** Where a word of a line is drawn. */
async function wordBox(line: string, word: string): Promise<{ x: number, y: number, width: number, height: number }> {
  const drawn = lineWith(workbench.page, line)
  await drawn.waitFor()
  return drawn.evaluate((element, sought) => {
    const range = document.createRange()
    const walker = document.createTreeWalker(element, NodeFilter.SHOW_TEXT)
    const start = (element.textContent ?? '').indexOf(sought)
    let passed = 0
    for (let node = walker.nextNode(); node !== null; node = walker.nextNode()) {
      const length = node.textContent?.length ?? 0
      if (start >= passed && start < passed + length) range.setStart(node, start - passed)
      const end = start + sought.length
      if (end > passed && end <= passed + length) range.setEnd(node, end - passed)
      passed += length
    }
    const { x, y, width, height } = range.getBoundingClientRect()
    return { x, y, width, height }
  }, word)
}
