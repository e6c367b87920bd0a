// The editor as a person sees it: a page in a browser, worked with keys and mouse.
import { mkdirSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { launchBrowser } from '../browser.ts'
import type { Browser, FrameLocator, Locator, Page } from '../browser.ts'
import { startEditorServer, workbenchAddress } from '../editor-server.ts'
import type { EditorServer } from '../editor-server.ts'
import { makeScratchWorkspace } from '../scratch-workspace.ts'
import { watchPage } from './watch-page.ts'
import type { PageWatch } from './watch-page.ts'

export interface Workbench {
  readonly page: Page
  readonly browser: Browser
  readonly server: EditorServer
  /** The folder that stands open; a copy, so that a test may write into it. */
  readonly folder: string
  readonly watch: PageWatch
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
}

export async function openWorkbench({ folder, settings }: WorkbenchSettings = {}): Promise<Workbench> {
  const scratch = makeScratchWorkspace()
  // A run that is broken off must not leave the server behind: its own exit handler needs an exit.
  const breakOff = (): never => process.exit(143)
  process.once('SIGTERM', breakOff)
  const closing: (() => Promise<void> | void)[] = [() => scratch.dispose(), () => { process.off('SIGTERM', breakOff) }]
  const close = async (): Promise<void> => {
    for (const step of closing.splice(0).reverse()) await step()
  }
  try {
    const opened = folder ?? scratch.folder
    const server = await startEditorServer({
      userFolder: scratch.userFolder,
      // The page's preference for light or dark decides the theme.
      settings: { 'window.autoDetectColorScheme': true, ...settings },
    })
    closing.push(() => server.stop())
    const browser = await launchBrowser()
    closing.push(() => browser.close())
    const page = await browser.newPage({ viewport: { width: 1400, height: 900 }, colorScheme: 'dark' })
    page.setDefaultTimeout(30_000)
    const watch = watchPage(page)
    await page.goto(workbenchAddress(server, { folder: opened, extension: root }))
    await page.locator('.monaco-workbench .explorer-folders-view').waitFor()
    const shoot = async (name: string): Promise<string> => {
      mkdirSync(shots, { recursive: true })
      const path = join(shots, `${name}.png`)
      await page.screenshot({ path })
      return path
    }
    return { page, browser, server, folder: opened, watch, shoot, close }
  } catch (failure) {
    await close()
    throw failure
  }
}

/** Opens a file from the list of files. */
export async function openFile(page: Page, name: string): Promise<void> {
  await page.locator('.explorer-folders-view .monaco-list-row', { hasText: name }).first().dblclick()
  await page.locator('.tab.active', { hasText: name }).waitFor()
  await lineWith(page, '').first().waitFor()
}

/** Runs a command by the words a person would look for. */
export async function runCommand(page: Page, words: string): Promise<void> {
  await page.keyboard.press('F1')
  const input = page.locator('.quick-input-widget input.input')
  await input.waitFor()
  await input.fill(`>${words}`)
  await page.locator('.quick-input-list .monaco-list-row', { hasText: words }).first().waitFor()
  await page.keyboard.press('Enter')
  await page.locator('.quick-input-widget').waitFor({ state: 'hidden' })
}

/** The drawn line of the text editor that holds the words. */
export function lineWith(page: Page, words: string): Locator {
  // The editor draws a blank as one that does not break.
  return page.locator('.editor-instance .view-lines .view-line', { hasText: new RegExp(words.split(' ').map(escapeWord).join('[\\s\\u00a0]+')) })
}

/** Closes every tab without keeping what was edited. */
export async function closeAll(page: Page): Promise<void> {
  await runCommand(page, 'File: Revert File')
  await runCommand(page, 'View: Close All Editors')
  await page.locator('.tab').first().waitFor({ state: 'detached' })
}

/** Puts the cursor at the start of a line, 1-based, of the program in the first group of editors. */
export async function goToLine(page: Page, line: number): Promise<void> {
  await runCommand(page, 'View: Focus First Editor Group')
  await page.keyboard.press('Control+G')
  const input = page.locator('.quick-input-widget input.input')
  await input.waitFor()
  await input.fill(`:${line}`)
  await page.keyboard.press('Enter')
  await page.locator('.quick-input-widget').waitFor({ state: 'hidden' })
}

/** The line the cursor stands on, as the status bar says. */
export async function cursorLine(page: Page): Promise<number> {
  const text = await page.locator('.statusbar-item[id="status.editor.selection"]').innerText()
  return Number(/Ln (\d+)/.exec(text)?.[1])
}

/** Inside of the viewer's page: two frames deep. */
export function viewerFrame(page: Page): FrameLocator {
  return page.frameLocator('iframe.webview.ready').frameLocator('#active-frame')
}

function escapeWord(word: string): string {
  return word.replaceAll(/[.*+?^${}()|[\]\\]/g, '\\$&')
}
