// The editor as a person sees it: a page in a browser, worked with keys and mouse.
import { mkdirSync, readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { isTimeout, launchBrowser } from '../browser.ts'
import type { Browser, FrameLocator, Locator, Page } from '../browser.ts'
import { startEditorServer, workbenchAddress } from '../editor-server.ts'
import type { EditorServer } from '../editor-server.ts'
import { makeScratchWorkspace } from '../scratch-workspace.ts'
import { OutOfPatience, until } from '../until.ts'
import { watchPage } from './watch-page.ts'
import type { PageWatch } from './watch-page.ts'

export interface Workbench {
  readonly page: Page
  readonly browser: Browser
  readonly server: EditorServer
  /** The folder that stands open; a copy, so that a test may write into it. */
  readonly folder: string
  readonly watch: PageWatch
  /** What the editor's own logs hold against the extension. */
  loggedErrors(): string[]
  /** Takes a picture of the whole window and says where it lies. */
  shoot(name: string): Promise<string>
  close(): Promise<void>
}

const root = fileURLToPath(new URL('../../..', import.meta.url))
const shots = join(root, '.cache/shots')

export interface WorkbenchSettings {
  /** The folder to open; a copy of the small workspace when absent. */
  readonly folder?: string
  readonly settings?: Readonly<Record<string, unknown>>
  /** A folder of installed extensions, used instead of the one in development. */
  readonly extensionsFolder?: string
}

export async function openWorkbench({ folder, settings, extensionsFolder }: WorkbenchSettings = {}): Promise<Workbench> {
  const scratch = makeScratchWorkspace()
  const closing: (() => Promise<void> | void)[] = [() => scratch.dispose()]
  const close = async (): Promise<void> => {
    for (const step of closing.splice(0).reverse()) await step()
  }
  try {
    const opened = folder ?? scratch.folder
    const server = await startEditorServer({
      userFolder: scratch.userFolder,
      extensionsFolder,
      // The page's preference for light or dark decides the theme.
      settings: { 'window.autoDetectColorScheme': true, ...settings },
    })
    closing.push(() => server.stop(), endWhenBrokenOff(server))
    const browser = await launchBrowser()
    closing.push(() => browser.close())
    const page = await browser.newPage({ viewport: { width: 1400, height: 900 }, colorScheme: 'dark' })
    page.setDefaultTimeout(30_000)
    const watch = watchPage(page)
    await page.goto(workbenchAddress(server, { folder: opened, extension: extensionsFolder === undefined ? root : undefined }))
    await page.locator('.monaco-workbench .explorer-folders-view').waitFor()
    const shoot = async (name: string): Promise<string> => {
      mkdirSync(shots, { recursive: true })
      const path = join(shots, `${name}.png`)
      // What is still fading in is shown as it will be.
      await page.screenshot({ path, animations: 'disabled' })
      return path
    }
    return { page, browser, server, folder: opened, watch, loggedErrors: () => loggedErrors(join(scratch.userFolder, 'logs')), shoot, close }
  } catch (failure) {
    await close()
    throw failure
  }
}

/** A run that is broken off must not leave the server behind, which leads a process group of its own. */
function endWhenBrokenOff(server: EditorServer): () => void {
  const breakOff = (): void => {
    server.kill()
    process.kill(process.pid, 'SIGKILL')
  }
  process.once('SIGTERM', breakOff)
  return () => process.off('SIGTERM', breakOff)
}

function loggedErrors(folder: string): string[] {
  return readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter(name => name.endsWith('.log')).flatMap(name => {
    const lines = readFileSync(join(folder, name), 'utf8').split('\n').filter(line => line.includes('[error]'))
    // The extension writes a log of its own, and the extension host names it in the common one.
    return /toolwake/i.test(name) ? lines : lines.filter(line => /toolwake/i.test(line))
  })
}

/** Opens a file from the list of files. */
export async function openFile(page: Page, name: string): Promise<void> {
  await page.locator('.explorer-folders-view .monaco-list-row', { hasText: name }).first().dblclick()
  await page.locator('.tab.active', { hasText: name }).waitFor()
  await lineWith(page, '').first().waitFor()
}

/** Runs a command by the words a person would look for. */
export function runCommand(page: Page, words: string): Promise<void> {
  return answerInput(page, 'F1', `>${words}`, words)
}

/** The same for a command that asks something next, in the place where it was called. */
export function beginCommand(page: Page, words: string): Promise<void> {
  return takeOffer(page, 'F1', `>${words}`, words)
}

/** Opens the input at the top of the window with a key, puts the text in, takes the first offer with the words, and sees the input go. */
async function answerInput(page: Page, key: string, text: string, words: string): Promise<void> {
  await takeOffer(page, key, text, words)
  await page.locator('.quick-input-widget').waitFor({ state: 'hidden' })
}

function takeOffer(page: Page, key: string, text: string, words: string): Promise<void> {
  return askInput(page, key, text, words, async offers => {
    // Clicked while the list still shrinks to the text, an offer may be another one by then.
    const offer = offers.filter({ hasText: words }).first()
    await offer.waitFor({ timeout: 2_000 })
    await until(`the list of offers with "${words}" to settle`, async () => {
      const before = await offers.allInnerTexts()
      await page.waitForTimeout(100)
      return (await offers.allInnerTexts()).join('\n') === before.join('\n') || undefined
    }, 5)
    await offer.click({ timeout: 2_000 })
  })
}

/**
 * Opens the input at the top of the window with a key, puts the text in and chooses from the offers. What had the focus before can
 * take it back and close the input again; then all of it is done once more, as a person would. The text is put in as one step:
 * typed, it would go into the program as soon as that took the focus back.
 */
export async function askInput(page: Page, key: string, text: string, what: string, choose: (offers: Locator) => Promise<void>): Promise<void> {
  const input = page.locator('.quick-input-widget input.input')
  await until(`"${what}" in the list of offers`, async () => {
    if (!await input.isVisible()) await page.keyboard.press(key)
    try {
      await until('the sign that opens the list', async () => (await input.inputValue({ timeout: 2_000 })).startsWith(text[0]) || undefined, 2)
      await input.evaluate((element, put) => {
        (element as HTMLInputElement).value = put
        element.dispatchEvent(new Event('input', { bubbles: true }))
      }, text, { timeout: 2_000 })
      await choose(page.locator('.quick-input-list .monaco-list-row'))
      return true
    } catch (failure) {
      if (!isTimeout(failure) && !(failure instanceof OutOfPatience)) throw failure
      // Whatever list stands open is another one.
      if (await input.isVisible()) await page.keyboard.press('Escape')
      return undefined
    }
  })
}

/** The drawn line of the text editor that holds the words. */
export function lineWith(page: Page, words: string): Locator {
  // The editor draws a blank as one that does not break.
  return page.locator('.editor-instance .view-lines .view-line', { hasText: new RegExp(words.split(' ').map(escapeWord).join('[\\s\\u00a0]+')) })
}

/** Closes every tab without keeping what was edited. */
export async function closeAll(page: Page): Promise<void> {
  await until('the last tab to close', async () => {
    await runCommand(page, 'File: Revert File')
    await runCommand(page, 'View: Close All Editors')
    try {
      await page.locator('.tab').first().waitFor({ state: 'detached', timeout: 5_000 })
      return true
    } catch (failure) {
      if (isTimeout(failure)) return undefined
      throw failure
    }
  })
}

/** Puts the cursor at the start of a line, 1-based, of the program in the first group of editors. */
export async function goToLine(page: Page, line: number): Promise<void> {
  await runCommand(page, 'View: Focus First Editor Group')
  await answerInput(page, 'Control+G', `:${line}`, `line ${line}`)
}

/** Puts the cursor before a character of a line, both 1-based, and waits until it stands there. */
export async function goToPlace(page: Page, line: number, character: number): Promise<void> {
  await runCommand(page, 'View: Focus First Editor Group')
  await answerInput(page, 'Control+G', `:${line}:${character}`, `line ${line}`)
  await page.locator('.statusbar-item', { hasText: `Ln ${line}, Col ${character}` }).waitFor()
}

/** The line the cursor stands on, as the margin of the text shows; unlike the status bar, it does so without the focus too. */
export async function cursorLine(page: Page): Promise<number> {
  return Number(await page.locator('.editor-instance .line-numbers.active-line-number').first().innerText())
}

/** Inside of the viewer's page: two frames deep. */
export function viewerFrame(page: Page): FrameLocator {
  return page.frameLocator('iframe.webview.ready').frameLocator('#active-frame')
}

function escapeWord(word: string): string {
  return word.replaceAll(/[.*+?^${}()|[\]\\]/g, '\\$&')
}
