import type { Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest'
import { axeFaults } from '../harness/axe-faults.ts'
import { attribute, frames, setTheme, settle, waitReady } from './browser-page.ts'
import type { HostPlan } from './page-host.ts'
import { sampleScene } from './sample-scene.ts'
import { countColours } from './screenshot.ts'
import { moveTo, placeBehind, placeOf, toolPlace, told } from './tool-place.ts'
import { ViewerPages } from './viewer-pages.ts'

// The viewer as the user meets it: its own bundle and page in a real browser, drawing in software.

let pages: ViewerPages
beforeAll(async () => {
  pages = await ViewerPages.launch({ triangles: 4000, segments: 400, line: 40 })
})
afterAll(async () => pages?.close())
afterEach(async ({ task }) => {
  expect(pages.takeComplaints()).toEqual([])
  if (task.result?.state === 'fail') await pages.drop()
})

async function clickPicture(page: Page, at: { readonly x: number, readonly y: number }): Promise<void> {
  await page.locator('canvas.scene').click({ position: at })
  await settle(page, 'quick')
}

/** The lines that the extension has been told, in order; they arrive a moment after the deed. */
const expectTold = (page: Page, lines: readonly number[]) => expect.poll(() => told(page)).toEqual(lines)

const { findings } = sampleScene({ triangles: 1000, segments: 400 }).description

function lineOf(rule: string): number {
  const found = findings.find(finding => finding.rule === rule)
  if (found === undefined) throw new Error(`The sample has no ${rule}.`)
  return found.line
}

describe('the picture', () => {
  test('is drawn: part, path, tool and marks in their colours', async () => {
    const page = await pages.ready()
    expect(await attribute(page, 'triangles')).toBe('3906')
    expect(await attribute(page, 'segments')).toBe('400')
    expect(await attribute(page, 'findings')).toBe('5')
    expect(await attribute(page, 'poseLine')).toBe('41')
    expect(await attribute(page, 'tool')).toBe('3')
    // Cutting path, current block, error, warning; the shaded part has many shades.
    const { distinct, near, topLeft } = await countColours(pages.blank, page, ['#14588f', '#c2185b', '#b97700'])
    expect(topLeft).toEqual([255, 255, 255])
    expect(distinct).toBeGreaterThan(300)
    for (const pixels of near) expect(pixels).toBeGreaterThan(15)
  })

  test('is drawn only when something changes', async () => {
    const page = await pages.ready()
    const before = Number(await attribute(page, 'frames'))
    await frames(page, 20)
    expect(Number(await attribute(page, 'frames'))).toBe(before)
    await moveTo(page, 60)
    await settle(page)
    const after = Number(await attribute(page, 'frames'))
    expect(after).toBeGreaterThan(before)
    expect(after - before).toBeLessThanOrEqual(4)
  })

  test('comes quickly first, and with all that belongs to it when nothing changes any more', async () => {
    const page = await pages.ready()
    // How long a full picture of a new path takes is not known before the first one: this one is quick whatever draws it.
    await page.evaluate(() => new Promise<void>(done => {
      const viewer = document.getElementById('viewer')
      const watch = new MutationObserver(changes => {
        if (viewer?.dataset.state !== 'ready' || !changes.some(one => one.oldValue === 'quick')) return
        watch.disconnect()
        done()
      })
      if (viewer !== null) watch.observe(viewer, { attributes: true, attributeFilter: ['data-picture'], attributeOldValue: true })
      window.wake.change({ triangles: 4000, segments: 400, edition: 2 })
    }))
    await page.waitForSelector('#viewer[data-picture=drawn]')
  })

  test('rapid motion is dashed: with rapids hidden its colour is gone', async () => {
    const page = await pages.ready({ line: 0 })
    const shown = (await countColours(pages.blank, page, ['#7a5c14'])).near[0]
    await page.getByRole('button', { name: 'Rapids' }).click()
    await settle(page)
    const hidden = (await countColours(pages.blank, page, ['#7a5c14'])).near[0]
    expect(shown).toBeGreaterThan(hidden + 8)
  })

  test('has nothing that axe-core finds wrong, in any theme, with its lists and keys shown', async () => {
    const page = await pages.ready()
    for (const theme of ['light', 'dark', 'high-contrast', 'high-contrast-light'] as const) {
      await setTheme(page, theme)
      await settle(page)
      expect(await axeFaults(page), theme).toEqual([])
      await page.locator('canvas.scene').focus()
      await page.keyboard.press('?')
      await page.getByRole('dialog').waitFor()
      expect(await axeFaults(page), `${theme}, with the list of keys`).toEqual([])
      await page.keyboard.press('Escape')
      await page.getByRole('dialog').waitFor({ state: 'hidden' })
    }
  })

  test('follows the theme', async () => {
    const page = await pages.ready()
    expect((await countColours(pages.blank, page)).topLeft).toEqual([255, 255, 255])
    for (const [theme, corner, cutting] of [['dark', [31, 31, 31], '#86cdf9'], ['high-contrast', [0, 0, 0], '#9fe0ff'], ['high-contrast-light', [255, 255, 255], '#00366b']] as const) {
      await setTheme(page, theme)
      await settle(page)
      const { topLeft, near } = await countColours(pages.blank, page, [cutting, '#14588f'])
      expect(topLeft, theme).toEqual(corner)
      expect(near[0], theme).toBeGreaterThan(15)
      expect(near[1], theme).toBeLessThan(near[0])
    }
  })

  test('fills the room it is given', async () => {
    const page = await pages.ready()
    await page.setViewportSize({ width: 620, height: 900 })
    await settle(page)
    const canvas = () => page.locator('canvas.scene').evaluate(element => [element.clientWidth, (element as HTMLCanvasElement).width / devicePixelRatio])
    await expect.poll(canvas).toEqual([620, 620])
    await settle(page)
    expect((await countColours(pages.blank, page)).distinct).toBeGreaterThan(300)
    // The first view shows all of the part in any size: fitted once more, it is the same.
    const at = await attribute(page, 'toolAt')
    await page.locator('canvas.scene').press('f')
    await settle(page, 'quick')
    expect(await attribute(page, 'toolAt')).toBe(at)
    // A view that somebody has chosen keeps its scale.
    await page.locator('canvas.scene').press('+')
    await page.setViewportSize({ width: 620, height: 700 })
    await settle(page)
    const chosen = await attribute(page, 'toolAt')
    await page.locator('canvas.scene').press('f')
    await settle(page, 'quick')
    expect(await attribute(page, 'toolAt')).not.toBe(chosen)
  })

  test('comes back after the graphics card was lost', async () => {
    const page = await pages.ready()
    await page.evaluate(() => {
      const lose = document.querySelector<HTMLCanvasElement>('canvas.scene')?.getContext('webgl2')?.getExtension('WEBGL_lose_context')
      lose?.loseContext()
      Object.assign(window, { lose })
    })
    await page.waitForSelector('#viewer[data-drawing=lost]')
    expect(await attribute(page, 'message')).toMatch(/graphics card has been taken away/)
    await page.evaluate(() => (window as unknown as { lose: WEBGL_lose_context }).lose.restoreContext())
    await page.waitForSelector('#viewer:not([data-drawing])')
    await settle(page)
    expect(await attribute(page, 'message')).toBeUndefined()
    expect((await countColours(pages.blank, page, ['#14588f'])).near[0]).toBeGreaterThan(15)
    // What is freed from now on is the new card's: the browser would warn of anything that is still the old one's.
    await moveTo(page, 200)
    for (const key of ['h', 'y', 't', 't']) await page.locator('canvas.scene').press(key)
    await page.evaluate(() => window.wake.change({ triangles: 4000, segments: 500, edition: 3 }))
    await page.waitForSelector('#viewer[data-segments="500"]')
    await clickPicture(page, { x: 300, y: 200 })
    await page.setViewportSize({ width: 640, height: 500 })
    await settle(page)
    expect(pages.takeComplaints()).toEqual([])
    await pages.drop()
  })
})

describe('a click on the path', () => {
  test('brings the line of that very segment, and the tool there', async () => {
    const page = await pages.ready()
    // Line 14 (0-based 13): straight down from above, open to the eye.
    const place = await placeBehind(page, 12)
    await moveTo(page, 200)
    await clickPicture(page, place)
    await expectTold(page, [13])
    await page.waitForSelector('#viewer[data-pose-line="14"]')
    expect(await attribute(page, 'line')).toBe('14')
  })

  test('finds segments all along the cutting path', async () => {
    const page = await pages.ready()
    await page.getByRole('button', { name: 'Part: solid' }).click()
    await page.getByRole('button', { name: 'Marks' }).click()
    await page.getByRole('button', { name: 'Top' }).click()
    for (let line = 20; line < 400; line += 95) {
      const from = await placeOf(page, line - 1), to = await placeOf(page, line)
      const middle = { x: (from.x + to.x) / 2, y: (from.y + to.y) / 2 }
      await moveTo(page, 300)
      await clickPicture(page, middle)
      const found = (await told(page)).at(-1)
      expect(found, `a click on line ${line}`).toBeDefined()
      // Where windings cross in the view another one may lie under the very same pixel.
      const start = await placeOf(page, (found ?? 0) - 1), end = await placeOf(page, found ?? 0)
      expect(distanceToSegment(middle, start, end), `line ${found} for a click on line ${line}`).toBeLessThan(1.6)
    }
  })

  test('beside it brings nothing, and turning the view is no click', async () => {
    const page = await pages.ready()
    await clickPicture(page, { x: 8, y: 8 })
    const { x, y } = await placeOf(page, 13)
    const frame = await page.locator('canvas.scene').boundingBox()
    if (frame === null) throw new Error('The canvas has no place on the page.')
    await page.mouse.move(frame.x + x, frame.y + y)
    await page.mouse.down()
    await page.mouse.move(frame.x + x + 60, frame.y + y + 10, { steps: 4 })
    await page.mouse.up()
    await settle(page, 'quick')
    expect(await told(page)).toEqual([])
    const turned = (await attribute(page, 'toolAt'))?.split(',').map(Number) ?? []
    expect(Math.hypot(turned[0] - x, turned[1] - y)).toBeGreaterThan(3)
  })
})

describe('findings', () => {
  test('are listed gravest first, each with its words for a screen reader', async () => {
    const page = await pages.ready()
    const labels = await page.getByRole('listbox').getByRole('option').evaluateAll(rows => rows.map(row => row.getAttribute('aria-label')?.split(':')[0]))
    expect(labels.map(label => label?.split(',')[0])).toEqual(['Error', 'Warning', 'Warning', 'Note', 'Accepted warning'])
    expect(labels[1]).toMatch(/^Warning, missing-decimal-point line 6 /)
  })

  test('are walked through by keyboard; each brings its line', async () => {
    const page = await pages.ready()
    await page.getByRole('listbox').focus()
    for (const key of ['ArrowDown', 'ArrowDown', 'End', 'Home', 'Enter']) await page.keyboard.press(key)
    await expectTold(page, [lineOf('gouge'), 5, lineOf('shank-clearance'), lineOf('gouge'), lineOf('gouge')])
    expect(await attribute(page, 'selected')).toBe('1')
    expect(await page.getByRole('listbox').getAttribute('aria-activedescendant')).toBe('finding-1')
    await page.getByRole('button', { name: 'About gouge' }).click()
    await expect.poll(() => page.evaluate(() => window.wake.rules)).toEqual(['gouge'])
  })

  test('are chosen by a click on their mark', async () => {
    const page = await pages.ready()
    // Choosing from the list brings the place to the middle of the picture.
    await page.getByRole('option', { name: /holder-clearance/ }).click()
    await moveTo(page, 300)
    expect(await attribute(page, 'selected')).toBeUndefined()
    const frame = await page.locator('canvas.scene').boundingBox()
    await clickPicture(page, { x: (frame?.width ?? 0) / 2, y: (frame?.height ?? 0) / 2 })
    expect(await attribute(page, 'selected')).toBe('2')
    await expectTold(page, [lineOf('holder-clearance'), lineOf('holder-clearance')])
    // The figures of the block have taken room from the list, and the row is still to be seen.
    await page.waitForSelector(`#viewer[data-pose-line="${lineOf('holder-clearance') + 1}"]`)
    await frames(page, 2)
    expect(await page.locator('.findings [aria-selected=true]').evaluate(row => {
      const { top, height } = row.getBoundingClientRect(), list = row.parentElement?.getBoundingClientRect()
      return list === undefined ? 0 : (Math.min(list.bottom, top + height) - Math.max(list.top, top)) / Math.min(height, list.height)
    })).toBeGreaterThan(0.95)
  })
})

describe('keys on the picture', () => {
  test('go from block to block, turn, zoom and fit', async () => {
    const page = await pages.ready()
    await page.locator('canvas.scene').focus()
    for (const key of ['PageDown', 'PageDown', 'PageUp']) await page.keyboard.press(key)
    await expectTold(page, [41, 42, 41])
    await page.waitForSelector('#viewer[data-pose-line="42"]')
    await settle(page, 'quick')
    const places = new Set([await attribute(page, 'toolAt')])
    for (const key of ['ArrowLeft', 'ArrowUp', '+', 'Shift+ArrowRight', 't', '2', '3']) {
      await page.keyboard.press(key)
      await settle(page, 'quick')
      places.add(await attribute(page, 'toolAt'))
    }
    expect(places.size).toBe(8)
  })

  test('Tab leads to every control, and shows which one has the focus', async () => {
    const page = await pages.ready()
    const wanted = await page.evaluate(() => {
      for (const menu of document.querySelectorAll('details')) menu.open = true
      const controls = [...document.querySelectorAll<HTMLElement>('button, select, input, summary, [tabindex="0"]')]
      for (const [index, control] of controls.entries()) control.dataset.control = String(index)
      return controls.filter(control => control.checkVisibility() && !control.matches(':disabled')).map(control => control.dataset.control)
    })
    const reached = new Map<string | undefined, string>()
    for (let press = 0; press < wanted.length + 5; press++) {
      await page.keyboard.press('Tab')
      const [control, outline] = await page.evaluate(() => {
        const focused = document.activeElement as HTMLElement
        const { outlineStyle, outlineWidth } = getComputedStyle(focused)
        return [focused.dataset.control, `${outlineStyle} ${outlineWidth}`] as const
      })
      if (control !== undefined) reached.set(control, outline)
    }
    expect(wanted.length).toBeGreaterThan(40)
    expect([...reached.keys()].map(Number).sort((a, b) => a - b)).toEqual(wanted.map(Number))
    expect([...reached].filter(([, outline]) => /^none|^\w+ 0px/.test(outline))).toEqual([])
    await page.evaluate(() => {
      for (const menu of document.querySelectorAll('details')) menu.open = false
    })
  })

  test('looking down the tool puts its point in the middle', async () => {
    const page = await pages.ready()
    await page.getByRole('button', { name: 'Down the tool' }).click()
    await settle(page, 'quick')
    const { x, y } = await toolPlace(page)
    const frame = await page.locator('canvas.scene').boundingBox()
    expect(Math.abs(x - (frame?.width ?? 0) / 2)).toBeLessThan(1)
    expect(Math.abs(y - (frame?.height ?? 0) / 2)).toBeLessThan(1)
  })
})

describe('the colours on the part', () => {
  test('what is left: legend with both limits, and a click tells figure, bound, limit and block', async () => {
    const page = await pages.ready()
    await page.locator('canvas.scene').focus()
    for (let press = 0; press < 5; press++) await page.keyboard.press('y')
    await page.waitForSelector('#viewer[data-places]')
    const legend = page.getByRole('figure', { name: 'Colours on the part' })
    await expect.poll(() => legend.textContent()).toMatch(/What is left on the part-0\.050 mm and deeper00\.100 mm and moreLimits of the sheet: -0\.010 mm and 0\.050 mm, at the marks/)
    expect(await legend.textContent()).toContain('60.0 % of the surface')
    expect(await legend.textContent()).toContain('Left of the middle: cut below the surface; right of it: left standing.')
    // Grey stands in the middle of the bar, over the nought; each limit a tenth or a quarter of the bar from it.
    const colours = await legend.locator('.scale-bar').evaluate(bar => getComputedStyle(bar).backgroundImage.match(/rgb\([^)]*\)/g))
    expect([colours?.length, colours?.[4]]).toEqual([9, 'rgb(221, 221, 221)'])
    expect(await legend.locator('.limit-mark').evaluateAll(marks => marks.map(mark => Number.parseFloat((mark as HTMLElement).style.left)))).toEqual([40, 75])
    expect(await legend.locator('.limit-mark').count()).toBe(2)
    await page.keyboard.press('2')
    await settle(page, 'quick')
    // Down onto the rim of the throat: some of its points lie there.
    const box = await page.locator('canvas.scene').boundingBox()
    const hint = page.locator('.hint')
    for (let x = 0.5; x > 0.25 && !(await hint.textContent() ?? '').includes('comes lowest'); x -= 0.01) await clickPicture(page, { x: (box?.width ?? 0) * x, y: (box?.height ?? 0) * 0.5 })
    expect(await hint.textContent()).toMatch(/^(Cut )?\d\.\d{3} ± 0\.001 mm (below the surface, limit 0\.010|left standing, limit 0\.050), at X .*: line \d+ comes lowest$/)
  })
})

describe('states in words', () => {
  test.each<[string, Partial<HostPlan>, string, RegExp]>([
    ['another version of the extension', { version: 7 }, 'failed', /speaks version 4, the extension version 7/],
    ['a server that fails', { fails: 'The server could not read inlet.nc.' }, 'failed', /^The server could not read inlet\.nc\.$/],
    ['nothing to draw', { nothing: 'There is no setup sheet.' }, 'ready', /moves nothing\. There is no setup sheet\./],
  ])('%s', async (_name, plan, state, message) => {
    const page = await pages.open(plan)
    await page.waitForSelector(`#viewer[data-state=${state}]`)
    expect(await page.getByRole('status').first().textContent()).toMatch(message)
  })

  test('where the sheet does not ask what is left on the part, that is said', async () => {
    const page = await pages.ready({ unasked: true })
    await page.locator('canvas.scene').focus()
    for (let press = 0; press < 5; press++) await page.keyboard.press('y')
    await expect.poll(() => page.locator('.hint').textContent()).toBe('It is measured where the sheet asks for it.')
    expect(await attribute(page, 'places')).toBeUndefined()
  })

  test('a browser that cannot draw still has figures and findings', async () => {
    const page = await pages.open({ noDrawing: true })
    await page.waitForSelector('#viewer[data-state=ready][data-drawing=none]')
    expect(pages.takeComplaints()).toContain('THREE.WebGLRenderer: Error creating WebGL context.')
    expect(await attribute(page, 'message')).toMatch(/offers no WebGL 2/)
    await page.getByRole('option', { name: /gouge/ }).click()
    await expectTold(page, [lineOf('gouge')])
    await page.waitForSelector(`#viewer[data-pose-line="${lineOf('gouge') + 1}"]`)
    await expect.poll(() => page.locator('.readout dd').count()).toBeGreaterThan(4)
  })

  test('a changed program is read anew, its unchanged part is not', async () => {
    const page = await pages.open()
    await waitReady(page)
    await page.evaluate(() => window.wake.change({ triangles: 4000, segments: 900, edition: 2 }))
    await page.waitForSelector('#viewer[data-segments="900"]')
    const slices = await page.evaluate(() => window.wake.slices)
    expect(slices).toMatchObject({ 'part': 1, 'path-1': 1, 'path-2': 1 })
    expect(await page.evaluate(() => window.wake.problems)).toEqual([])
  })
})

function distanceToSegment(p: { x: number, y: number }, a: { x: number, y: number }, b: { x: number, y: number }): number {
  const dx = b.x - a.x, dy = b.y - a.y
  const t = Math.max(0, Math.min(1, ((p.x - a.x) * dx + (p.y - a.y) * dy) / (dx * dx + dy * dy || 1)))
  return Math.hypot(p.x - a.x - t * dx, p.y - a.y - t * dy)
}
