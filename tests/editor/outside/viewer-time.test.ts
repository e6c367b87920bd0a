// The program's time in the real editor: cursor and picture lead each other, and the viewer stands what happens to a window.
import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest'
import type { Locator, Page } from '../browser.ts'
import { pictureFigures } from '../picture.ts'
import { until } from '../until.ts'
import { commitFile } from '../scratch-repository.ts'
import { beginCommand, closeAll, cursorLine, goToLine, goToPlace, openFile, openWorkbench, runCommand, viewerFrame } from './workbench.ts'
import type { Workbench } from './workbench.ts'

let workbench: Workbench

beforeAll(async () => {
  workbench = await openWorkbench({ settings: { 'git.enabled': true } })
})

afterEach(async ({ task }) => {
  if (task.result?.state === 'fail') console.error(`The screen at the failure: ${await workbench.shoot(`failed-${task.name.replaceAll(/\W+/g, '-')}`)}`)
  await closeAll(workbench.page)
})

afterAll(async () => {
  await workbench.close()
})

describe('time in the editor', () => {
  test('the slider takes the cursor along, from the start of the program to its end; other texts are chosen to compare with', { timeout: 240_000 }, async () => {
    const { page, folder } = workbench
    const viewer = await openViewer(page)
    await goToLine(page, lines.N100)
    const slider = viewer.getByRole('slider', { name: 'Time of the program' })
    await slider.press('End')
    await until('the cursor at the last move', async () => await cursorLine(page) === lines.N180 || undefined)
    await slider.press('Home')
    await until('the cursor at the first move', async () => await cursorLine(page) === lines.N60 || undefined)

    // Held against another text, by what the editor offers: what has been typed and not saved is what differs.
    const compare = async (choice: string) => {
      await viewer.getByRole('button', { name: 'Compare…' }).click()
      await page.locator('.quick-input-list .monaco-list-row', { hasText: choice }).click()
    }
    const chooseFile = (name: string) => page.locator('.quick-input-list .monaco-list-row', { hasText: name }).click()
    const changes = async () => await viewer.getAttribute('data-changes') ?? 'none compared'
    await compare('The version committed last')
    await until('why there is none', async () => (await viewer.locator('.hint').innerText()).includes('plate.nc lies in no Git repository that the editor knows. Choose a file to compare it with.') || undefined)
    await compare('The file as saved')
    await until('a comparison without differences', async () => await changes() === '0' || undefined)
    await goToPlace(page, lines.N150, 'N150 Y10.'.length + 1)
    await page.keyboard.type('5')
    await until('what was typed among the differences', async () => Number(await changes()) > 0 || undefined)
    const told = () => viewer.getByRole('region', { name: 'Compared with another version' }).innerText()
    expect(await told()).toContain('Against plate.nc as saved: ')
    // Against the program as it was committed: N130 went no deeper than the surface, and N150 half a millimetre less far.
    const original = readFileSync(join(folder, 'plate.nc'), 'utf8'), released = original.replace('Z-0.05', 'Z0.')
    commitFile(folder, 'plate.nc', released)
    await until('the commit in the editor', async () => {
      await compare('The version committed last')
      await until('an answer', async () => /could not be compared|^$/.test(await viewer.locator('.hint').innerText()) || undefined)
      return (await told()).includes('Against plate.nc at HEAD: ') || undefined
    })
    expect(await told()).toMatch(/lines 15 to 20: up to 0\.500 mm apart/)
    // Against a file, found with the editor's own dialog.
    writeFileSync(join(folder, 'released.nc'), released.replace('Y10.', 'Y10.5'))
    await compare('Another file…')
    await chooseFile('released.nc')
    await until('the file', async () => (await told()).includes('Against released.nc: ') || undefined)
    expect(await told()).toMatch(/lines 15 to 16: up to 0\.050 mm apart/)
    await compare('Nothing')
    await until('the end of the comparison', async () => await changes() === 'none compared' || undefined)
    // In words, with the figures: the same file, by the command.
    await runCommand(page, 'View: Focus First Editor Group')
    await runCommand(page, 'File: Revert File')
    await beginCommand(page, 'Toolwake: Compare with the Released Program…')
    await chooseFile('released.nc')
    const comparison = page.frameLocator('iframe.webview.ready').nth(1).frameLocator('#active-frame')
    await comparison.getByRole('heading', { name: 'plate.nc compared with released.nc' }).waitFor()
    expect(await comparison.locator('body').innerText()).toContain('1 finding is new (an error), none is gone.')
  })

  test('steps lead from finding to finding, and the cursor with them', async () => {
    const { page } = workbench
    const viewer = await openViewer(page)
    await until('the gouge in the list', async () => await viewer.locator('.findings .rule', { hasText: 'gouge' }).count() > 0 || undefined)
    await goToLine(page, lines.N120)
    await viewer.getByRole('button', { name: 'Next finding' }).click()
    await until('the cursor in the gouge', async () => {
      const line = await cursorLine(page)
      return line >= lines.N130 && line <= lines.N150 || undefined
    })
    await until('the figure beside its mark', async () => /Cutter 0\.05\d ± 0\.001 mm deep/.test(await viewer.locator('.label.figure').first().innerText()) || undefined)
  })

  test('the program runs, and the cursor stays with it', async () => {
    const { page } = workbench
    const viewer = await openViewer(page)
    await goToLine(page, lines.N60)
    await viewer.getByRole('button', { name: 'Faster' }).click()
    await viewer.getByRole('button', { name: 'Play' }).click()
    await until('the end of the program', async () => await viewer.getAttribute('data-playing') === null && Number((await viewer.getAttribute('data-moment'))?.split(',')[0]) === Number(await viewer.getAttribute('data-motions')) - 1 || undefined, 60)
    await until('the cursor at the last move', async () => await cursorLine(page) === lines.N180 || undefined)
  })

  test('strip and colours on the part tell the figures that the check has proven, and a click on them goes to the block', async () => {
    const { page } = workbench
    const viewer = await openViewer(page)
    await goToLine(page, lines.N130)
    const strip = viewer.locator('canvas.lanes')
    const words = await until('the figures of the block', async () => {
      const text = await viewer.locator('.strip .figure').innerText()
      return text.startsWith(`Line ${lines.N130},`) && text.includes('cutter -') ? text : undefined
    })
    // The row beside the picture comes from the server's own answer for the line.
    const row = await viewer.locator('dd', { hasText: 'below the surface' }).innerText()
    const [, told] = /cutter -([\d.]+) mm/.exec(words) ?? [], [, answered, bound] = /^([\d.]+) ± ([\d.]+)/.exec(row) ?? []
    expect(Math.abs(Number(told) - Number(answered))).toBeLessThanOrEqual(Number(bound) + 0.0005)
    expect(words).toContain('(limit -0.010 mm)')
    // This block goes deepest of all, and the colours begin at it.
    const canvas = viewer.locator('canvas.scene')
    await canvas.press('y')
    await until('the colours of the cutter', async () => Number(await viewer.getAttribute('data-places')) > 0 || undefined)
    const legend = await viewer.getByRole('figure', { name: 'Colours on the part' }).innerText()
    expect(legend).toContain('Nearest places of the cutter')
    expect(legend).toContain('Limit in feed: -0.010 mm, at the mark')
    expect(Math.abs(Number(/(-[\d.]+) mm/.exec(legend)?.[1]) + Number(answered))).toBeLessThanOrEqual(Number(bound) + 0.0005)
    // Its place lies in the middle of the picture when the finding has been chosen; its mark would take the click.
    await viewer.locator('.findings .rule', { hasText: 'gouge' }).click()
    await canvas.press('m')
    await settled(viewer)
    const middle = await canvas.boundingBox() ?? { width: 0, height: 0 }
    await canvas.click({ position: { x: middle.width / 2, y: middle.height / 2 } })
    const clicked = await until('the figure of the clicked place', async () => /^Cutter -([\d.]+) ± [\d.]+ mm, limit -0\.010, at X .*: line (\d+)$/.exec(await viewer.locator('.hint').innerText()) ?? undefined)
    expect(Math.abs(Number(clicked[1]) - Number(answered))).toBeLessThanOrEqual(Number(bound) + 0.0005)
    await until('the cursor in the clicked block', async () => await cursorLine(page) === Number(clicked[2]) || undefined)
    const { width } = await strip.boundingBox() ?? { width: 0 }
    await strip.click({ position: { x: width - 3, y: 12 } })
    await until('the cursor at the last move', async () => await cursorLine(page) === lines.N180 || undefined)
  })
})

describe('what happens to a window', () => {
  test('a lost graphics card comes back with the whole picture', async () => {
    const { page, browser } = workbench
    const viewer = await openViewer(page)
    await goToLine(page, lines.N140)
    await settled(viewer)
    const canvas = viewer.locator('canvas.scene')
    const before = await pictureFigures(browser, canvas)
    await canvas.evaluate(element => {
      const lose = (element as HTMLCanvasElement).getContext('webgl2')?.getExtension('WEBGL_lose_context')
      lose?.loseContext()
      setTimeout(() => lose?.restoreContext(), 300)
    })
    await until('the loss', async () => await viewer.getAttribute('data-drawing') === 'lost' || undefined)
    await until('the picture back', async () => await viewer.getAttribute('data-drawing') === null || undefined)
    await settled(viewer)
    const after = await pictureFigures(browser, canvas)
    expect(Math.abs(after.colours - before.colours)).toBeLessThanOrEqual(before.colours * 0.1)
  })

  test('it fills another size, and is the same after it was hidden', async () => {
    const { page } = workbench
    const viewer = await openViewer(page)
    await goToLine(page, lines.N140)
    await page.setViewportSize({ width: 1000, height: 760 })
    const canvas = viewer.locator('canvas.scene')
    await until('the canvas in its new size', async () => await canvas.evaluate(element => (element as HTMLCanvasElement).width === Math.round(element.clientWidth * devicePixelRatio)) || undefined)
    await page.setViewportSize({ width: 1400, height: 900 })
    await until('the canvas in its old size', async () => await canvas.evaluate(element => (element as HTMLCanvasElement).width === Math.round(element.clientWidth * devicePixelRatio)) || undefined)
    await settled(viewer)
    const moment = await viewer.getAttribute('data-moment')
    const reads = await viewer.getAttribute('data-triangles')
    await page.locator('.tab', { hasText: 'Wake of plate.nc' }).click()
    await runCommand(page, 'File: New Untitled Text File')
    await page.locator('.tab', { hasText: 'Wake of plate.nc' }).click()
    await settled(viewer)
    expect(await viewer.getAttribute('data-moment')).toBe(moment)
    expect(await viewer.getAttribute('data-triangles')).toBe(reads)
  })

  test('ten rounds of opening and closing leave nothing behind', { timeout: 420_000 }, async () => {
    const { page } = workbench
    const sizes: number[] = []
    for (let round = 0; round < 10; round++) {
      const viewer = await openViewer(page)
      await settled(viewer)
      sizes.push(serverMemory(workbench))
      await closeAll(page)
      await until('the page gone', async () => await page.locator('iframe.webview.ready').count() === 0 || undefined)
    }
    // The processes of extension and server settle in the first rounds; what stayed behind from each round would go on growing.
    const growth = (sizes.at(-1) ?? NaN) - (sizes[3] ?? NaN)
    expect(growth, `MB by round: ${sizes.map(size => size.toFixed(0)).join(' ')}`).toBeLessThan(40)
  })

  test('nothing was asked of the outside, and nothing went wrong unseen', () => {
    expect(workbench.watch.outside).toEqual([])
    expect(workbench.watch.errors).toEqual([])
    expect(workbench.loggedErrors()).toEqual([])
  })
})

/** 1-based lines of the small program's blocks. */
const lines = { N60: 8, N100: 12, N120: 14, N130: 15, N140: 16, N150: 17, N180: 20 } as const

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

/** Waits until the viewer draws no new pictures. */
async function settled(viewer: Locator): Promise<void> {
  let frames = ''
  await until('a picture at rest', async () => {
    const isFull = await viewer.getAttribute('data-picture') === 'drawn'
    const now = await viewer.getAttribute('data-frames') ?? ''
    await viewer.evaluate(() => new Promise(drawn => requestAnimationFrame(() => requestAnimationFrame(drawn))))
    const rests = isFull && now !== '' && now === frames
    frames = now
    return rests || undefined
  })
}

/** Resident memory of the editor's server, the extension host and the language servers together, MB; Linux alone. */
function serverMemory({ server: { pid } }: Workbench): number {
  const own = readdirSync('/proc').filter(name => /^\d+$/.test(name)).map(process => {
    try {
      // The fields behind the name in brackets: state, parent, group.
      const group = readFileSync(`/proc/${process}/stat`, 'utf8').replace(/^.*\) /s, '').split(' ')[2]
      return Number(group) === pid ? Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${process}/status`, 'utf8'))?.[1] ?? 0) / 1024 : 0
    } catch {
      // It has ended meanwhile.
      return 0
    }
  })
  return own.reduce((sum, size) => sum + size, 0)
}
