import { afterAll, beforeAll, expect, test } from 'vitest'
import { attribute, motion, waitReady } from './browser-page.ts'
import { countColours } from './screenshot.ts'
import { placeBehind, told } from './tool-place.ts'
import { ViewerPages } from './viewer-pages.ts'

// The largest scene that is asked for, in a real browser.

const million = 1_000_000

let pages: ViewerPages
beforeAll(async () => {
  pages = await ViewerPages.launch({ triangles: million, segments: million, line: 40 })
})
afterAll(async () => pages?.close())

test('a million triangles and a million blocks are drawn, clicked, dragged, stepped through and shown along the strip', { timeout: 180_000 }, async () => {
  const page = await pages.open()
  await waitReady(page)
  expect(Number(await attribute(page, 'triangles'))).toBeGreaterThan(0.99 * million)
  expect([await attribute(page, 'segments'), await attribute(page, 'motions')]).toEqual([String(million), String(million)])
  expect((await countColours(pages.blank, page)).distinct).toBeGreaterThan(300)
  // From here on quick pictures do: a processor takes seconds for a full one.
  await page.locator('canvas.scene').click({ position: await placeBehind(page, 12) })
  await expect.poll(() => told(page)).toEqual([13])
  await page.locator('canvas.scene').focus()
  await page.keyboard.press('End')
  expect(await motion(page)).toBe(million - 1)
  await page.getByRole('slider', { name: 'Time of the program' }).focus()
  await page.keyboard.press('ArrowLeft')
  // One of ten thousand steps of the slider.
  expect(Math.abs(await motion(page) - 999_900)).toBeLessThan(300)
  await page.locator('canvas.scene').focus()
  for (const key of ['PageUp', 'Shift+N', 'w']) await page.keyboard.press(key)
  expect(await attribute(page, 'selected')).toBeDefined()
  expect(await attribute(page, 'wake')).toBe('behind')
  for (const quantity of ['feed', 'axes', 'rates', 'clearance']) {
    await page.getByRole('combobox').selectOption(quantity)
    await expect.poll(() => page.locator('.strip .figure').innerText()).toMatch(/motion [\d,]+ of 1,000,000/)
  }
  expect(pages.takeComplaints()).toEqual([])
})
