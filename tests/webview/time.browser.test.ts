import type { Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest'
import { attribute, frames, motion, settle } from './browser-page.ts'
import { sampleScene } from './sample-scene.ts'
import { countColours } from './screenshot.ts'
import { moveTo, placeBehind, toolPlace, told } from './tool-place.ts'
import { ViewerPages } from './viewer-pages.ts'

// The program's time and what can be looked into, as the user does it: in a real browser, with keys and mouse.

const size = { triangles: 4000, segments: 400 }
const { findings } = sampleScene(size).description

let pages: ViewerPages
beforeAll(async () => {
  pages = await ViewerPages.launch({ ...size, line: 40 })
})
afterAll(async () => pages?.close())
afterEach(async ({ task }) => {
  expect(pages.takeComplaints()).toEqual([])
  if (task.result?.state === 'fail') await pages.drop()
})

const ready = (line = 40) => pages.ready({ line })

async function press(page: Page, ...keys: readonly string[]): Promise<void> {
  await page.locator('canvas.scene').focus()
  for (const key of keys) await page.keyboard.press(key)
  await settle(page, 'quick')
}

async function share(page: Page, colour: string): Promise<number> {
  await settle(page)
  return (await countColours(pages.blank, page, [colour])).near[0]
}

describe('time', () => {
  test('runs when asked, takes the cursor along, and stops', async () => {
    const page = await ready()
    const before = await motion(page)
    await press(page, ']', ']')
    await page.getByRole('button', { name: 'Play' }).click()
    await page.waitForSelector('#viewer[data-playing=yes]')
    await page.evaluate(() => {
      const spoken: string[] = []
      Object.assign(window, { spoken })
      new MutationObserver(changes => {
        for (const { target } of changes) {
          const live = (target instanceof Element ? target : target.parentElement)?.closest('[aria-live], [role=status], [role=alert], output')
          if (live !== null && live !== undefined && live.getAttribute('aria-live') !== 'off') spoken.push(live.textContent ?? '')
        }
      }).observe(document.body, { subtree: true, childList: true, characterData: true })
    })
    const spoken = () => page.evaluate(() => (window as unknown as { spoken: string[] }).spoken)
    await expect.poll(() => motion(page)).toBeGreaterThan(before + 10)
    await page.getByRole('button', { name: 'Stop' }).click()
    await settle(page, 'quick')
    const after = await motion(page)
    await expect.poll(async () => (await told(page)).at(-1)).toBe(Number(await attribute(page, 'line')) - 1)
    await frames(page, 10)
    expect(await motion(page)).toBe(after)
    // A screen reader is told of the block where it stops, and of no clock or figure on the way.
    const stopped = await attribute(page, 'line')
    await expect.poll(async () => (await spoken()).at(-1)).toMatch(new RegExp(`^Line ${stopped}\\. `))
    expect((await spoken()).filter(words => !/^Line \d+\. /.test(words))).toEqual([])
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
    await expect.poll(() => motion(page)).toBeGreaterThan(before + 1)
    await press(page, ' ')
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
    await settle(page, 'quick')
    expect(Math.abs(await motion(page) - size.segments * 0.75)).toBeLessThanOrEqual(1)
    await expect.poll(async () => (await told(page)).at(-1)).toBe(Number(await attribute(page, 'line')) - 1)
  })

  test('tells the figures of the block in words, as the search found them', async () => {
    const page = await ready(0)
    await page.getByRole('option', { name: /^Error/ }).click()
    await settle(page, 'quick')
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
    await expect.poll(async () => (await strip.screenshot()).equals(before)).toBe(false)
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
    const clamp = page.getByRole('button', { name: 'Fixture clamp' })
    const pictures = [await page.locator('canvas.scene').screenshot()]
    for (const showing of ['solid', 'see-through', 'hidden']) {
      await page.locator('summary', { hasText: 'More to show' }).click()
      expect(await clamp.innerText()).toBe(`Fixture clamp: ${showing}`)
      await clamp.click()
      await page.keyboard.press('Escape')
      await settle(page)
      pictures.push(await page.locator('canvas.scene').screenshot())
    }
    const [solid, seeThrough, hidden, again] = pictures
    expect([seeThrough.equals(solid), hidden.equals(solid), hidden.equals(seeThrough), again.equals(solid)]).toEqual([false, false, false, true])
    // From edges alone by way of hidden.
    await press(page, 'k', 'k')
    expect(await page.locator('.bodies').textContent()).toMatch(/Stock: solid/)
  })

  test('the wake of the blocks behind the tool, and of a finding', async () => {
    const page = await ready(200)
    await press(page, 'p', 'p', 'a', 'a', '+', '+', '+')
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
    const whole = await share(page, '#ffffff')
    await press(page, '.', '.', '.', '.', '.', '.', '.', '.')
    expect(await share(page, '#ffffff')).not.toBe(whole)
  })

  test('two points are measured on the part, by mouse and by key', async () => {
    const page = await ready(0)
    await press(page, '2', 'd')
    const canvas = page.locator('canvas.scene')
    const { width, height } = await canvas.boundingBox() ?? { width: 0, height: 0 }
    // The middle lies over the open throat of the part, where there is nothing to measure from.
    await press(page, 'Enter')
    expect(await page.locator('.label.measure').count()).toBe(0)
    // From above the part fills 0.88 of the height: these lie on its face, well outside the throat.
    const away = Math.round(0.3 * height)
    await canvas.click({ position: { x: width / 2 - away, y: height / 2 } })
    await canvas.click({ position: { x: width / 2 + away, y: height / 2 } })
    await settle(page, 'quick')
    const text = await page.locator('.label.measure').innerText()
    const [, length, x, y] = /^([\d.]+) mm +X (-?[\d.]+) {2}Y (-?[\d.]+)/.exec(text)?.map(Number) ?? []
    const millimetres = 2 * away / Number(await canvas.evaluate(() => document.querySelector<HTMLElement>('.bar')?.offsetWidth ?? 0))
      * Number((await page.locator('.length').innerText()).split(' ')[0])
    // Seen from above, so many pixels are so many millimetres across; the scale bar says how many.
    expect(Math.abs(x - millimetres)).toBeLessThan(millimetres * 0.03)
    expect(Math.abs(y)).toBeLessThan(0.05)
    expect(length).toBeGreaterThanOrEqual(Math.abs(x))
  })

  test('perspective, further views, frames, whiskers and figures change the picture', async () => {
    const page = await ready(200)
    const seen = new Set<string>()
    const look = async () => {
      await settle(page)
      seen.add((await page.locator('canvas.scene').screenshot()).toString('base64'))
    }
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
    const place = await placeBehind(page, 12)
    await moveTo(page, 200)
    await page.locator('canvas.scene').click({ position: place })
    await expect.poll(async () => (await told(page)).at(-1)).toBe(13)
  })

  test('colours on the part: a legend with unit and limit, a click tells figure, bound, limit and block', async () => {
    const page = await ready(0)
    await press(page, 'a', 'a', 'm', 'r', '2', 'y', 'y')
    // Every motion of the sample has a figure for the neck but its rapids, which are farther than the search looked.
    await expect.poll(() => attribute(page, 'places')).toBe(String(size.segments - 3))
    const legend = page.locator('.map-legend')
    expect(await legend.innerText()).toMatch(/Nearest places of the neck\s+0\.100 mm\s+0\.750 mm and more\s+Limit in feed: 0\.150 mm/)
    expect(await share(page, '#fdea45')).toBeGreaterThan(20)
    // Where the tool stands at the end of a line, the motion's place is.
    await page.evaluate(() => window.wake.moveTo(60))
    await page.waitForSelector('#viewer[data-line="61"]')
    await press(page, 'p', 'p')
    await page.locator('canvas.scene').click({ position: await toolPlace(page) })
    const text = /^Neck ([\d.]+) ± 0\.001 mm, limit 0\.150, at X .*: line (\d+)$/
    await expect.poll(() => page.locator('.hint').innerText()).toMatch(text)
    const [, figure, line] = text.exec(await page.locator('.hint').innerText()) ?? []
    const chosen = Number(line) - 13
    expect(Number(figure)).toBeCloseTo(0.3 + 0.2 * Math.sin(chosen / 17) - 0.001, 3)
    // Shank, holder, what is left on the part, and none.
    await press(page, 'y', 'y', 'y', 'y')
    expect(await attribute(page, 'places')).toBeUndefined()
    expect(await legend.isVisible()).toBe(false)
  })

  test('what is left of the stock follows the block, and says where there is none', async () => {
    const page = await ready(200)
    await press(page, 'z')
    await expect.poll(() => attribute(page, 'stock')).toBe('12')
    expect(await page.locator('.hint').innerText()).toMatch(/^Stock after line 201;/)
    await settle(page, 'quick')
    expect(await share(page, '#6d7f5a')).toBeGreaterThan(50)
    await page.evaluate(() => window.wake.moveTo(3))
    await expect.poll(() => page.locator('.hint').innerText()).toMatch(/^No stock to show/)
    expect(await attribute(page, 'stock')).toBeUndefined()
    await press(page, 'z')
    expect(await page.locator('.hint').innerText()).toBe('')
  })

  test('another version: what differs in motion is drawn, listed and stepped through', async () => {
    const page = await ready(0)
    await press(page, 'a', 'a', 'p', 'p', 'm')
    const before = [await share(page, '#8a5a00'), await share(page, '#5b2a86')]
    await page.getByRole('button', { name: 'Compare…' }).click()
    await expect.poll(() => attribute(page, 'changes')).toBe('2')
    await settle(page, 'quick')
    expect(await share(page, '#8a5a00')).toBeGreaterThan(before[0] + 20)
    expect(await share(page, '#5b2a86')).toBeGreaterThan(before[1] + 20)
    const changes = page.getByRole('region', { name: 'Compared with another version' })
    expect(await changes.innerText()).toContain('Against inlet-released.nc: 2 stretches run another way, some by a distance that is not known; 375 motions are the same.')
    expect(await changes.getByRole('listitem').allInnerTexts()).toEqual(['lines 113 to 132: up to 0.500 mm apart', 'lines 213 to 217: 5 motions new'])
    await press(page, 'j')
    expect(await motion(page)).toBe(100)
    await press(page, 'j')
    expect(await motion(page)).toBe(200)
    await press(page, 'Shift+J')
    expect(await motion(page)).toBe(100)
  })

  test('whatever else is told to the page leaves it as it is', async () => {
    const page = await ready()
    const before = await page.locator('canvas.scene').screenshot()
    const complained = await page.evaluate(async seed => {
      // A small generator of its own: the page has no modules of the tests (Park and Miller, 1988).
      let state = seed
      const random = (below: number) => {
        state = state * 48271 % 2147483647
        return state % below
      }
      const names = ['scene/changed', 'line/moved', 'status/changed', 'constructor', '__proto__', 'toString', 'nothing/known']
      const values = [undefined, null, NaN, -1, 1e300, '', 'x'.repeat(99), [], {}, { line: 'a' }, new Uint8Array(9), true]
      let count = 0
      const listen = console.error
      console.error = () => { count++ }
      for (let i = 0; i < 600; i++) {
        const kind = ['ask', 'answer', 'failure', 'tell', 'unknown'][random(5)]
        // News that would be taken at their word are the host's own and are not made up here.
        const name = names[random(4) + 3]
        const message = random(3) === 0 ? values[random(values.length)] : { kind, id: random(2) === 0 ? random(9) + 1000 : values[random(values.length)], name, params: values[random(values.length)], result: values[random(values.length)], message: values[random(values.length)] }
        window.dispatchEvent(new MessageEvent('message', { data: message }))
      }
      // What is not understood is told before the next task.
      await new Promise(done => setTimeout(done))
      console.error = listen
      return count
    }, 20261126)
    expect(complained).toBeGreaterThan(100)
    await settle(page)
    expect(await attribute(page, 'state')).toBe('ready')
    expect((await page.locator('canvas.scene').screenshot()).equals(before)).toBe(true)
    await press(page, 'PageDown')
    expect(await attribute(page, 'line')).toBe('42')
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
