import { mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest'
import { until } from '../until.ts'
import { beginCommand, closeAll, goToLine, lineWith, openFile, openWorkbench, runCommand } from './workbench.ts'
import type { Workbench } from './workbench.ts'

let workbench: Workbench

beforeAll(async () => {
  workbench = await openWorkbench({ settings: { 'window.autoDetectHighContrast': true, 'toolwake.hints.modes': true } })
})

afterEach(async ({ task }) => {
  if (task.result?.state === 'fail') console.error(`The screen at the failure: ${await workbench.shoot(`failed-${task.name.replaceAll(/\W+/g, '-')}`)}`)
  await closeAll(workbench.page)
})

afterAll(async () => {
  await workbench.close()
})

/** The themes an editor offers by itself, by what the page says it prefers. */
const themes = [
  { name: 'light', media: { colorScheme: 'light', forcedColors: 'none' }, shown: '.monaco-workbench.vs' },
  { name: 'dark', media: { colorScheme: 'dark', forcedColors: 'none' }, shown: '.monaco-workbench.vs-dark' },
  { name: 'high-contrast', media: { colorScheme: 'dark', forcedColors: 'active' }, shown: '.monaco-workbench.hc-black' },
] as const

describe('the language on the screen', () => {
  test('marks stand beside the blocks, a line above the tool, hints between the words; in every theme', async () => {
    const { page } = workbench
    await openFile(page, 'plate.nc')
    await page.locator('.squiggly-error').first().waitFor()
    const lens = page.locator('.codelens-decoration', { hasText: 'T3 ball 4' })
    await until('the figures above the tool', async () => /deep/.test((await lens.first().innerText()).replaceAll('\u00a0', ' ')) || undefined)
    await until('the marks beside the blocks', async () => await shownMarks('broken') >= 1 && await shownMarks('kept') >= 5 || undefined)
    await lineWith(page, 'N130 G1X0.').or(lineWith(page, 'N130 G1 X0.')).first().waitFor()
    for (const { name, media, shown } of themes) {
      await page.emulateMedia(media)
      await page.locator(shown).waitFor()
      await workbench.shoot(`language-${name}`)
    }
    await page.emulateMedia(themes[1].media)
  })

  test('no mark stands beside the blocks while they are switched off', async () => {
    const { page, folder } = workbench
    await openFile(page, 'plate.nc')
    await until('the marks beside the blocks', async () => await shownMarks('') >= 6 || undefined)
    const settings = join(folder, '.vscode')
    mkdirSync(settings, { recursive: true })
    writeFileSync(join(settings, 'settings.json'), '{ "toolwake.clearanceMarks": false }')
    await until('the end of the marks', async () => await shownMarks('') === 0 || undefined)
    await workbench.shoot('language-no-marks')
    writeFileSync(join(settings, 'settings.json'), '{}')
    await until('the marks again', async () => await shownMarks('') >= 6 || undefined)
  })

  test('typing a letter offers the codes of this control, and a cycle shows its words', async () => {
    const { page } = workbench
    await openFile(page, 'plate.nc')
    await page.locator('.squiggly-error').first().waitFor()
    await goToLine(page, 22)
    await page.keyboard.press('Home')
    await page.keyboard.type('G8', { delay: 50 })
    const offers = page.locator('.suggest-widget.visible .monaco-list-row')
    await offers.filter({ hasText: 'G83' }).first().waitFor()
    await workbench.shoot('language-completion')
    await page.keyboard.press('Escape')
    await page.keyboard.type('3 X1. ', { delay: 50 })
    await page.locator('.parameter-hints-widget.visible', { hasText: 'G83 [X] [Y] Z R Q [L]' }).waitFor()
    await workbench.shoot('language-signature')
  })

  test('a tool is drawn where it is called and in its sheet, to be read in every theme', async () => {
    const { page } = workbench
    const drawing = page.locator('.monaco-hover:not(.hidden) img[src^="data:image/svg+xml"]')
    for (const { file, words, name } of [
      { file: 'plate.nc', words: 'T3 M6', name: 'tool-in-program' },
      { file: 'plate.setup.json', words: '"name": "ball 4"', name: 'tool-in-sheet' },
    ]) {
      await openFile(page, file)
      const place = lineWith(page, words).first()
      await place.waitFor()
      for (const { name: theme, media, shown } of themes) {
        await page.emulateMedia(media)
        await page.locator(shown).waitFor()
        await until('a drawn tool', async () => {
          const box = await place.locator('span span').last().boundingBox({ timeout: 1_000 }).catch(() => null)
          if (box === null) return undefined
          await page.mouse.move(box.x + box.width - 6, box.y + box.height / 2 + 1)
          await page.mouse.move(box.x + box.width - 5, box.y + box.height / 2)
          return drawing.first().waitFor({ timeout: 3_000 }).then(() => true, () => undefined)
        })
        // An address that is no picture has no width.
        expect(await drawing.first().evaluate((image: HTMLImageElement) => image.decode().then(() => [image.naturalWidth, image.naturalHeight]))).toEqual([460, 150])
        // The tip is what one looks for: nothing of the picture may have to be scrolled to.
        expect(await drawing.first().evaluate(seenShare)).toBe(1)
        await workbench.shoot(`${name}-${theme}`)
        await page.mouse.move(700, 880)
        await drawing.first().waitFor({ state: 'hidden' })
      }
      await page.emulateMedia(themes[1].media)
    }
  })

  test('a finding is accepted with the words that are typed', async () => {
    const { page } = workbench
    await openFile(page, 'plate.nc')
    await page.locator('.squiggly-error').first().waitFor()
    const line = readFileSync(join(workbench.folder, 'plate.nc'), 'utf8').split('\n').findIndex(text => text.includes('Z-0.05')) + 1
    expect(line).toBeGreaterThan(0)
    await goToLine(page, line)
    await beginCommand(page, 'Toolwake: Accept This Finding with a Reason')
    const input = page.locator('.quick-input-widget:visible')
    await input.filter({ hasText: 'Why is this finding acceptable?' }).waitFor()
    await input.locator('input[type="text"]').fill('BLEND, CHECKED BY HAND')
    await page.keyboard.press('Enter')
    await lineWith(page, 'BLEND, CHECKED BY HAND').first().waitFor()
  })

  test('a setup sheet begins with questions, and keeps what was answered when they are left', async () => {
    const { page, folder } = workbench
    writeFileSync(join(folder, 'asked.nc'), '(T4 BALL 6)\nG21 G17 G90 G94 G40 G49 G54\nT4 M6\nG43 H4\nG0 X1.\nM30\n')
    await openFile(page, 'asked.nc')
    await beginCommand(page, 'Toolwake: Start a Setup Sheet for This Program')
    const input = page.locator('.quick-input-widget:visible'), rows = input.locator('.monaco-list-row')
    await rows.filter({ hasText: 'Answer Questions First' }).first().waitFor()
    await workbench.shoot('language-questions-begin')
    await page.keyboard.press('Enter')
    await rows.filter({ hasText: 'trunnion.machine.json' }).first().waitFor()
    await page.keyboard.press('Enter')
    const box = input.locator('input[type="text"]')
    await input.filter({ hasText: 'Where does the zero of G54 lie' }).waitFor()
    await box.fill('0 0')
    await input.filter({ hasText: 'Write 3 numbers' }).waitFor()
    await workbench.shoot('language-questions-slip')
    await box.fill('0 0 -380')
    await page.keyboard.press('Enter')
    await rows.filter({ hasText: 'plate.stl' }).first().waitFor()
    await page.keyboard.press('Escape')
    await lineWith(page, '"machine": "trunnion.machine.json"').first().waitFor()
    const sheet = await until('the sheet', () => {
      const text = readFileSync(join(folder, 'asked.setup.json'), 'utf8')
      return text === '' ? undefined : text
    })
    expect(sheet).toContain('"G54": { "X": 0, "Y": 0, "Z": -380 }')
    expect(sheet).toMatch(/"mesh": null,/)
    rmSync(join(folder, 'asked.setup.json'))
  })

  test('the walk through the extension has its five steps', async () => {
    const { page } = workbench
    await runCommand(page, 'Toolwake: First Steps')
    const steps = page.locator('.getting-started-step')
    await until('five steps', async () => await steps.count() === 5 || undefined)
    const words = page.frameLocator('iframe.webview.ready').frameLocator('#active-frame').locator('h1', { hasText: 'Open a sample' })
    await words.waitFor()
    await workbench.shoot('language-walkthrough')
  })

  test('nothing was asked of the outside, and nothing went wrong unseen', () => {
    expect(workbench.watch.outside).toEqual([])
    expect(workbench.watch.errors).toEqual([])
    expect(workbench.loggedErrors()).toEqual([])
  })
})

/** How many marks of a kind, or of every kind where it is empty, are drawn in the margin. */
function shownMarks(mark: string): Promise<number> {
  return workbench.page.locator('.glyph-margin-widgets .cgmr, .margin-view-overlays .cgmr').evaluateAll((elements, sought) =>
    elements.filter(element => getComputedStyle(element).backgroundImage.includes(`mark-${sought}`)).length, mark)
}

/** How much of the height of an element lies inside the hover around it. */
function seenShare(element: Element): number {
  const around = element.closest('.monaco-hover')?.getBoundingClientRect(), { top, bottom } = element.getBoundingClientRect()
  if (around === undefined) return 0
  return Math.max(0, Math.min(bottom, around.bottom) - Math.max(top, around.top)) / (bottom - top)
}
