import type { Browser, Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest'
import { attribute, bundlePage, launchBrowser, openPage, settle, waitReady } from './browser-page.ts'
import type { Bundles, OpenedPage } from './browser-page.ts'
import { sampleScene } from './sample-scene.ts'
import { countColours } from './screenshot.ts'

// The program's time and what can be looked into, as the user does it: in a real browser, with keys and mouse.

let browser: Browser
let bundles: Bundles
let opened: OpenedPage | undefined
beforeAll(async () => {
  browser = await launchBrowser()
  bundles = await bundlePage()
})
afterAll(async () => browser?.close())
afterEach(async () => {
  expect(opened?.complaints).toEqual([])
  await opened?.page.close()
  opened = undefined
})

const size = { triangles: 8000, segments: 400 }
const { findings } = sampleScene(size).description

async function ready(line = 40): Promise<Page> {
  opened = await openPage(browser, bundles, { ...size, line }, 'light')
  await waitReady(opened.page)
  return opened.page
}

async function press(page: Page, ...keys: readonly string[]): Promise<void> {
  await page.locator('canvas.scene').focus()
  for (const key of keys) await page.keyboard.press(key)
  await settle(page)
}

const told = (page: Page) => page.evaluate(() => window.wake.lines)
const motion = async (page: Page) => Number((await attribute(page, 'moment'))?.split(',')[0])
const share = async (page: Page, colour: string) => (await countColours(browser, page, [colour])).near[0]

describe('time', () => {
  test('runs when asked, takes the cursor along, and stops', async () => {
    const page = await ready()
    const before = await motion(page)
    await press(page, ']', ']')
    await page.getByRole('button', { name: 'Play' }).click()
    await page.waitForSelector('#viewer[data-playing=yes]')
    await expect.poll(() => motion(page)).toBeGreaterThan(before + 10)
    await page.getByRole('button', { name: 'Stop' }).click()
    await settle(page)
    const after = await motion(page)
    await expect.poll(async () => (await told(page)).at(-1)).toBe(Number(await attribute(page, 'line')) - 1)
    await page.waitForTimeout(300)
    expect(await motion(page)).toBe(after)
    // Each line at most once, and in order: the editor's echoes did not throw the clock back.
    const lines = await told(page)
    expect(lines).toEqual([...new Set(lines)].sort((a, b) => a - b))
  })

  test('runs to its end, and from there anew', async () => {
    const page = await ready(size.segments + 20)
    expect(await motion(page)).toBe(size.segments - 1)
    await page.locator('canvas.scene').focus()
    await page.keyboard.press(' ')
    await expect.poll(() => motion(page)).toBeLessThan(size.segments - 1)
    for (let i = 0; i < 4; i++) await page.keyboard.press(']')
    await page.waitForSelector('#viewer:not([data-playing])')
    expect(await motion(page)).toBe(size.segments - 1)
  })

  test('goes block after block where motion is not wanted', async () => {
    const page = await ready()
    await page.emulateMedia({ reducedMotion: 'reduce' })
    const before = await motion(page)
    await press(page, ' ')
    await expect.poll(() => motion(page)).toBe(before + 2)
    expect((await attribute(page, 'moment'))?.endsWith(',1.0000')).toBe(true)
  })

  test('is dragged by its slider', async () => {
    const page = await ready()
    const slider = page.getByRole('slider', { name: 'Time of the program' })
    await slider.focus()
    await page.keyboard.press('End')
    expect(await motion(page)).toBe(size.segments - 1)
    await page.keyboard.press('Home')
    expect(await motion(page)).toBe(0)
    expect(await slider.getAttribute('aria-valuetext')).toMatch(/motion 1 of 400$/)
  })

  test('goes from finding to finding in the order of the text', async () => {
    const page = await ready(0)
    const order = [...findings.entries()].sort(([, a], [, b]) => a.line - b.line).map(([index]) => index)
    for (const index of order) {
      await press(page, 'n')
      expect(await attribute(page, 'selected')).toBe(String(index))
      expect(await attribute(page, 'line')).toBe(String(findings[index].line + 1))
    }
    await press(page, 'Shift+N')
    expect(await attribute(page, 'selected')).toBe(String(order.at(-2)))
  })

  test('start and end by key', async () => {
    const page = await ready()
    await press(page, 'End')
    expect(await motion(page)).toBe(size.segments - 1)
    await press(page, 'Home')
    expect(await attribute(page, 'moment')).toBe('0,0.0000')
  })
})

describe('the strip', () => {
  test('a click goes to the block under it', async () => {
    const page = await ready()
    const strip = page.locator('canvas.lanes')
    const frame = await strip.boundingBox()
    if (frame === null) throw new Error('The strip has no place on the page.')
    await strip.click({ position: { x: 96 + (frame.width - 96) * 0.75, y: 20 } })
    await settle(page)
    expect(Math.abs(await motion(page) - size.segments * 0.75)).toBeLessThanOrEqual(1)
    await expect.poll(async () => (await told(page)).at(-1)).toBe(Number(await attribute(page, 'line')) - 1)
  })

  test('tells the figures of the block in words, as the search found them', async () => {
    const page = await ready(0)
    await page.getByRole('option', { name: /^Error/ }).click()
    await settle(page)
    const words = await page.locator('.strip .figure').innerText()
    expect(words).toContain('cutter -0.031 mm (limit -0.010 mm)')
    expect(await page.locator('canvas.lanes').getAttribute('aria-valuetext')).toBe(words)
    await page.getByRole('combobox').selectOption('rates')
    await expect.poll(() => page.locator('.strip .figure').innerText()).toMatch(/C [\d.]+ °\/min \(limit 14400 °\/min\)/)
  })

  test('zooms with the wheel and by keys, and walks motion by motion', async () => {
    const page = await ready()
    const strip = page.locator('canvas.lanes')
    const before = await strip.screenshot()
    await strip.hover({ position: { x: 400, y: 20 } })
    await page.mouse.wheel(0, -300)
    await page.waitForTimeout(200)
    expect((await strip.screenshot()).equals(before)).toBe(false)
    const from = await motion(page)
    await strip.focus()
    await page.keyboard.press('ArrowRight')
    await page.keyboard.press('ArrowRight')
    expect(await motion(page)).toBe(from + 2)
    expect(await strip.getAttribute('aria-valuenow')).toBe(String(from + 3))
  })
})

describe('looking into it', () => {
  test('fixtures, machine and stock are shown, faded and hidden one by one', async () => {
    const page = await ready()
    expect(await attribute(page, 'bodies')).toBe('2')
    await page.locator('summary', { hasText: 'More to show' }).click()
    const clamp = page.getByRole('button', { name: 'Fixture clamp' })
    expect(await clamp.innerText()).toBe('Fixture clamp: solid')
    const solid = (await countColours(browser, page)).distinct
    await clamp.click()
    expect(await clamp.innerText()).toBe('Fixture clamp: see-through')
    await clamp.click()
    expect(await clamp.innerText()).toBe('Fixture clamp: hidden')
    await page.keyboard.press('Escape')
    await settle(page)
    expect((await countColours(browser, page)).distinct).toBeLessThan(solid)
    // From edges alone by way of hidden.
    await press(page, 'k', 'k')
    expect(await page.locator('.bodies').textContent()).toMatch(/Stock: solid/)
  })

  test('the wake of the blocks behind the tool, and of a finding', async () => {
    const page = await ready(200)
    await press(page, 'p', 'p', 'a', 'a')
    const without = await share(page, '#4fa89b')
    await press(page, 'w')
    expect(await attribute(page, 'wake')).toBe('behind')
    expect(await share(page, '#4fa89b')).toBeGreaterThan(without + 50)
    await press(page, 'n', 'w')
    expect(await attribute(page, 'wake')).toBe('run')
    await press(page, 'w')
    expect(await attribute(page, 'wake')).toBeUndefined()
  })

  test('a cut takes away what lies beyond it, and shows its face', async () => {
    const page = await ready(200)
    const inside = await share(page, '#a9886a')
    await press(page, 'x')
    expect(await share(page, '#a9886a')).toBeGreaterThan(inside + 500)
    const [whole] = [(await countColours(browser, page, ['#ffffff'])).near[0]]
    await press(page, '.', '.', '.', '.', '.', '.', '.', '.')
    expect((await countColours(browser, page, ['#ffffff'])).near[0]).not.toBe(whole)
  })

  test('two points are measured on the part, by mouse and by key', async () => {
    const page = await ready(0)
    await press(page, '2', 'd')
    const canvas = page.locator('canvas.scene')
    const { width, height } = await canvas.boundingBox() ?? { width: 0, height: 0 }
    // The middle lies over the open throat of the part, where there is nothing to measure from.
    await press(page, 'Enter')
    expect(await page.locator('.label.measure').count()).toBe(0)
    await canvas.click({ position: { x: width / 2 - 150, y: height / 2 } })
    await canvas.click({ position: { x: width / 2 + 150, y: height / 2 } })
    await settle(page)
    const text = await page.locator('.label.measure').innerText()
    const [, length, x, y] = /^([\d.]+) mm +X (-?[\d.]+) {2}Y (-?[\d.]+)/.exec(text)?.map(Number) ?? []
    const millimetres = 300 / Number(await canvas.evaluate(() => document.querySelector<HTMLElement>('.bar')?.offsetWidth ?? 0))
      * Number((await page.locator('.length').innerText()).split(' ')[0])
    // Seen from above, so many pixels are so many millimetres across; the scale bar says how many.
    expect(Math.abs(x - millimetres)).toBeLessThan(millimetres * 0.03)
    expect(Math.abs(y)).toBeLessThan(0.05)
    expect(length).toBeGreaterThanOrEqual(Math.abs(x))
  })

  test('perspective, further views, frames, whiskers and figures change the picture', async () => {
    const page = await ready(200)
    const seen = new Set<string>()
    const look = async () => seen.add((await page.locator('canvas.scene').screenshot()).toString('base64'))
    await look()
    for (const key of ['v', '5', '6', '7', 'c', 'c', 'h', 'o']) {
      await press(page, key)
      await look()
    }
    expect(seen.size).toBe(9)
    expect(await page.locator('.label.frame:visible').count()).toBeGreaterThan(2)
    await press(page, 'g')
    expect((await page.locator('.label.figure').allInnerTexts()).sort()).toEqual(['Cutter 0.031 ± 0.001 mm deep', 'Holder 0.402 ± 0.001 mm away'])
  })

  test('a click finds its block in perspective too', async () => {
    const page = await ready()
    await press(page, 'v')
    const placeOf = async (line: number) => {
      await page.evaluate(to => window.wake.moveTo(to), line)
      await page.waitForSelector(`#viewer[data-line="${line + 1}"]`)
      await settle(page)
      const [x, y] = (await attribute(page, 'toolAt'))?.split(',').map(Number) ?? []
      return { x, y }
    }
    const from = await placeOf(12), to = await placeOf(13)
    await placeOf(200)
    await page.locator('canvas.scene').click({ position: { x: from.x * 0.4 + to.x * 0.6, y: from.y * 0.4 + to.y * 0.6 } })
    await expect.poll(async () => (await told(page)).at(-1)).toBe(13)
  })

  test('the keys are listed on a question mark', async () => {
    const page = await ready()
    await press(page, '?')
    expect(await page.getByRole('dialog').innerText()).toContain('Measure between two points on the part')
    await page.keyboard.press('Escape')
    await expect.poll(() => page.getByRole('dialog').count()).toBe(0)
  })

  test('a picture is kept with its caption below it', async () => {
    const page = await ready(200)
    await press(page, 's')
    await expect.poll(() => page.evaluate(() => window.wake.pictures.length)).toBe(1)
    const { width, height, lit, written } = await page.evaluate(async () => {
      const [png] = window.wake.pictures
      const picture = await createImageBitmap(new Blob([new Uint8Array(png)], { type: 'image/png' }))
      const canvas = new OffscreenCanvas(picture.width, picture.height)
      const pen = canvas.getContext('2d')
      pen?.drawImage(picture, 0, 0)
      const pixels = new Uint32Array(pen?.getImageData(0, 0, picture.width, picture.height).data.buffer ?? new ArrayBuffer(0))
      const tones = (from: number, to: number) => new Set(pixels.subarray(from * picture.width, to * picture.width)).size
      const shown = document.querySelector<HTMLCanvasElement>('canvas.scene')?.height ?? 0
      return { width: picture.width, height: picture.height - shown, lit: tones(0, shown), written: tones(shown, picture.height) }
    })
    expect(width).toBeGreaterThan(400)
    expect(height).toBeGreaterThan(80)
    expect(lit).toBeGreaterThan(300)
    expect(written).toBeGreaterThan(20)
    expect(await page.locator('.hint').innerText()).toBe('The picture is kept as inlet.png.')
    expect(await page.evaluate(() => window.wake.problems)).toEqual([])
  })
})
