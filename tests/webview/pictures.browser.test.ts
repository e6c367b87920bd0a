import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { dirname } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { settle } from './browser-page.ts'
import type { Theme } from './browser-page.ts'
import { pictureDistance } from './picture-distance.ts'
import { ViewerPages } from './viewer-pages.ts'

// The picture as it looked when somebody last looked at it. UPDATE=1 keeps the present ones instead: look at them before they are committed.

// Words are the business of other tests, and how large the picture is hangs on the fonts that a machine has for them.
const pictureAlone = '.picture { position: fixed; inset: 0 auto auto 0; width: 621px; height: 370px; } .labels, .gauge, .legend, .map-legend { visibility: hidden; }'

let pages: ViewerPages
beforeAll(async () => {
  pages = await ViewerPages.launch({ triangles: 20_000, segments: 900, line: 300 }, pictureAlone)
})
afterAll(async () => pages?.close())

/** In units of colour distance; another renderer's smoothing stays well below, a body or a map that is missing lies far above. */
const MEAN = 1
const TAIL = 10

const pictures: readonly (readonly [string, Theme, readonly string[]])[] = [
  ['part-path-tool', 'light', []],
  ['cut-and-wake', 'dark', ['x', 'a', 'a', 'w']],
  ['colours-in-perspective', 'light', ['v', 'x', 'a', 'a', 'y', 'y']],
  ['frames-and-tool-axes', 'high-contrast', ['u', 'u', 'o', 'h']],
]

async function takePicture(theme: Theme, keys: readonly string[]): Promise<Buffer> {
  const page = await pages.ready({}, theme)
  await page.locator('canvas.scene').focus()
  for (const key of keys) await page.keyboard.press(key)
  await settle(page)
  return page.locator('canvas.scene').screenshot()
}

test.each(pictures)('%s', async (name, theme, keys) => {
  const path = fileURLToPath(new URL(`./pictures/${name}.png`, import.meta.url))
  const now = await takePicture(theme, keys)
  if (process.env.UPDATE === '1') {
    mkdirSync(dirname(path), { recursive: true })
    writeFileSync(path, now)
  }
  expect(existsSync(path), `${path} is not there; UPDATE=1 writes it`).toBe(true)
  const { mean, tail } = await pictureDistance(pages.blank, readFileSync(path), now)
  expect(mean, 'mean distance of colour').toBeLessThan(MEAN)
  expect(tail, 'distance of colour of the worst places').toBeLessThan(TAIL)
})

test('the measure tells a missing wake and another side from the same picture', async () => {
  const bare = ['p', 'p', 'a', 'a']
  const [withWake, without, again, other] = [await takePicture('light', [...bare, 'w']), await takePicture('light', bare), await takePicture('light', bare), await takePicture('light', [...bare, '5'])]
  const { mean, tail } = await pictureDistance(pages.blank, without, again)
  expect(mean).toBeLessThan(MEAN / 10)
  expect(tail).toBeLessThan(TAIL / 10)
  expect((await pictureDistance(pages.blank, without, withWake)).tail).toBeGreaterThan(TAIL)
  expect((await pictureDistance(pages.blank, without, other)).mean).toBeGreaterThan(MEAN)
})
