import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { launchBrowser, type Browser } from '../editor/browser.ts'
import { axeFaults } from '../harness/axe-faults.ts'
import { PlateJob } from '../harness/plate-job.ts'
import { runToolwake } from '../harness/run-toolwake.ts'

// The release record in a browser without a network: on the screen, and printed.

let job: PlateJob, browser: Browser
beforeAll(async () => {
  job = new PlateJob()
  // With what is left on the part, so that its picture is among what is looked at.
  job.write('plate.setup.json', job.sheet.replace('"gouge": 0.01', '"gouge": 0.01, "leftover": 0.05'))
  await runToolwake(['report', 'plate.nc', '--output', 'record.html'], { folder: job.folder })
  browser = await launchBrowser()
})
afterAll(async () => {
  await browser.close()
  job.remove()
})

async function openRecord() {
  const context = await browser.newContext({ offline: true, viewport: { width: 794, height: 1123 } }), page = await context.newPage()
  const requests: string[] = [], complaints: string[] = []
  page.on('request', request => requests.push(request.url()))
  page.on('console', message => complaints.push(message.text()))
  const address = pathToFileURL(join(job.folder, 'record.html')).toString()
  await page.goto(address)
  return { page, requests, complaints, address, close: () => context.close() }
}

describe('the release record in a browser', () => {
  test('asks for nothing besides itself, and its own policy is content with it', async () => {
    const { page, requests, complaints, address, close } = await openRecord()
    expect(requests).toEqual([address])
    expect(complaints).toEqual([])
    // The style has taken hold: the policy names its hash.
    expect(await page.locator('.verdict').evaluate(element => getComputedStyle(element).borderLeftWidth)).toBe('8px')
    await close()
  })

  test('headings go down step by step, tables and pictures say what they are', async () => {
    const { page, close } = await openRecord()
    const levels = await page.locator('h1, h2, h3, h4').evaluateAll(all => all.map(one => Number(one.tagName.slice(1))))
    expect(levels[0]).toBe(1)
    expect(levels.filter(level => level === 1)).toHaveLength(1)
    expect(levels.every((level, n) => n === 0 || level <= levels[n - 1] + 1)).toBe(true)
    expect(await page.locator('table').evaluateAll(all => all.every(one => one.querySelector('caption') !== null && one.querySelectorAll('thead th[scope=col]').length > 0))).toBe(true)
    expect(await page.locator('main svg[role=img]').evaluateAll(all => all.every(one => (one.getAttribute('aria-label') ?? '').length > 20))).toBe(true)
    await close()
  })

  test('axe-core finds nothing in it, on the screen and as it is printed', async () => {
    const { page, close } = await openRecord()
    for (const media of ['screen', 'print'] as const) for (const colorScheme of ['light', 'dark'] as const) {
      await page.emulateMedia({ media, colorScheme })
      expect(await axeFaults(page), `${media}, ${colorScheme}`).toEqual([])
    }
    await close()
  })

  test('nothing is wider than the page, on paper either', async () => {
    const { page, close } = await openRecord()
    // Printable widths of A4 and letter with margins of 15 mm, at 96 dots an inch.
    for (const width of [680, 702]) {
      await page.setViewportSize({ width, height: 900 })
      await page.emulateMedia({ media: 'print' })
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width)
    }
    await close()
  })

  test('a number is not broken over two lines', async () => {
    const { page, close } = await openRecord()
    await page.setViewportSize({ width: 680, height: 900 })
    await page.emulateMedia({ media: 'print' })
    // Digits of a million and more were broken where a hash beside them took the width.
    const lines = await page.locator('td.number').evaluateAll(cells => cells.map(cell => {
      cell.textContent = '18,060,084'
      const range = document.createRange()
      range.selectNodeContents(cell)
      return range.getClientRects().length
    }))
    expect(lines.length).toBeGreaterThan(3)
    expect(new Set(lines)).toEqual(new Set([1]))
    await close()
  })

  test('prints to A4 and to letter', async () => {
    const { page, close } = await openRecord()
    for (const [format, width, height] of [['A4', 595, 842], ['Letter', 612, 792]] as const) {
      const pdf = (await page.pdf({ format, preferCSSPageSize: true })).toString('latin1')
      const boxes = [...pdf.matchAll(/\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/g)].map(([, w, h]) => [Math.round(Number(w)), Math.round(Number(h))])
      expect(boxes.length).toBeGreaterThanOrEqual(3)
      expect(boxes.length).toBeLessThanOrEqual(6)
      expect(boxes.every(([w, h]) => Math.abs(w - width) <= 1 && Math.abs(h - height) <= 1)).toBe(true)
    }
    await close()
  })

  test('the drawings have the tool, the part and the place in them', async () => {
    const { page, close } = await openRecord()
    const finding = page.locator('.finding svg[role=img]')
    expect(await finding.locator('.tool.cutter').count()).toBe(2)
    expect(await finding.locator('.body').count()).toBe(2)
    // The plate's top is the plane z = 0 and the tool's tip lies 0.051 mm below it: in the closer look the ball's lowest point is that far under the ring.
    const below = await finding.locator('svg.panel-b').evaluate(panel => {
      const lowest = Math.max(...(panel.querySelector('.tool.cutter')?.getAttribute('d') ?? '').split(/[MLZ]/).filter(text => text !== '').map(text => Number(text.split(' ')[1])))
      return lowest - Number(panel.querySelector('.place')?.getAttribute('cy'))
    })
    const twin = JSON.parse(/id="toolwake-sarif">\n([^<]*)</.exec(readFileSync(join(job.folder, 'record.html'), 'utf8'))?.[1] ?? '') as { runs: { results: { ruleId: string, properties: { depth: number, point: number[], toolPoint: number[] } }[] }[] }
    const { depth, point, toolPoint } = twin.runs[0].results.filter(({ ruleId }) => ruleId === 'gouge')[0].properties
    expect(below).toBeCloseTo((point[2] - toolPoint[2]) * 300 / (12 * depth), 0)
    await close()
  })
})
