import { existsSync } from 'node:fs'
import { chromium } from 'playwright-core'
import type { Browser, Page } from 'playwright-core'
import { build } from 'esbuild'
import { viewerPage } from '../../client/viewer/panel-html.ts'
import type { HostPlan } from './page-host.ts'

// The viewer's real bundle and page, in a real browser, with a host that answers from a sample.

const chromiumPath = process.env.CHROMIUM ?? '/usr/bin/chromium'
const address = 'http://viewer.test/'

/** Fails with one clear line where there is no browser: the picture cannot be vouched for without one. */
export async function launchBrowser(): Promise<Browser> {
  if (!existsSync(chromiumPath)) {
    throw new Error(`The viewer's picture is tested in Chromium, which is not at ${chromiumPath}. Install it (Debian: apt-get install chromium) or set CHROMIUM to its path.`)
  }
  return chromium.launch({
    executablePath: chromiumPath,
    headless: true,
    args: ['--headless=new', '--no-sandbox', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update',
      '--disable-sync', '--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--ignore-gpu-blocklist'],
  })
}

export interface Bundles { readonly viewer: string, readonly style: string, readonly host: string }

/** Bundles as the extension's build does: one script that runs by itself, its style sheet beside it. */
export async function bundlePage(): Promise<Bundles> {
  const bundle = async (entry: string) => {
    const made = await build({ entryPoints: [entry], bundle: true, format: 'iife', platform: 'browser', target: 'es2022', outdir: 'out', write: false, logLevel: 'silent' })
    const text = (end: string) => made.outputFiles.find(file => file.path.endsWith(end))?.text ?? ''
    return { script: text('.js'), style: text('.css') }
  }
  const viewer = await bundle('webview/main.ts')
  return { viewer: viewer.script, style: viewer.style, host: (await bundle('tests/webview/page-host.ts')).script }
}

export type Theme = 'light' | 'dark' | 'high-contrast' | 'high-contrast-light'

/** Colours as an editor sets them; only those the page leans on most. */
const themeColours: Readonly<Record<Theme, Readonly<Record<string, string>>>> = {
  'light': { '--vscode-editor-background': '#ffffff', '--vscode-foreground': '#333333', '--vscode-descriptionForeground': '#616161', '--vscode-panel-border': '#d8d8d8', '--vscode-focusBorder': '#4a78a8', '--vscode-list-activeSelectionBackground': '#dbe7f3', '--vscode-list-activeSelectionForeground': '#1c1c1c', '--vscode-textLink-foreground': '#28608f' },
  'dark': { '--vscode-editor-background': '#1f1f1f', '--vscode-foreground': '#cccccc', '--vscode-descriptionForeground': '#9d9d9d', '--vscode-panel-border': '#383838', '--vscode-focusBorder': '#5d8fc0', '--vscode-list-activeSelectionBackground': '#2b3f54', '--vscode-list-activeSelectionForeground': '#ffffff', '--vscode-textLink-foreground': '#7fb6e6' },
  'high-contrast': { '--vscode-editor-background': '#000000', '--vscode-foreground': '#ffffff', '--vscode-contrastBorder': '#6fc3df', '--vscode-contrastActiveBorder': '#f38518', '--vscode-focusBorder': '#f38518', '--vscode-list-activeSelectionBackground': '#000000' },
  'high-contrast-light': { '--vscode-editor-background': '#ffffff', '--vscode-foreground': '#000000', '--vscode-contrastBorder': '#0f4a85', '--vscode-contrastActiveBorder': '#b5200d', '--vscode-focusBorder': '#b5200d', '--vscode-list-activeSelectionBackground': '#ffffff' },
}

export interface OpenedPage {
  readonly page: Page
  /** What the browser complained about: errors, refused resources. */
  readonly complaints: string[]
}

export async function openPage(browser: Browser, bundles: Bundles, plan: HostPlan, theme: Theme, size = { width: 1100, height: 720 }): Promise<OpenedPage> {
  const page = await browser.newPage({ viewport: size })
  const complaints: string[] = []
  page.on('pageerror', error => complaints.push(error.message))
  page.on('console', message => {
    // Reading pixels back is what picking does; the software renderer remarks on it.
    if ((message.type() === 'error' || message.type() === 'warning') && !message.text().includes('GPU stall')) complaints.push(message.text())
  })
  const files: Readonly<Record<string, { readonly contentType: string, readonly body: string }>> = {
    [address]: { contentType: 'text/html', body: viewerPage({ script: `${address}webview.js`, style: `${address}webview.css`, cspSource: 'http://viewer.test', nonce: 'for-this-page', program: 'inlet.nc' }) },
    [`${address}webview.js`]: { contentType: 'text/javascript', body: bundles.viewer },
    [`${address}webview.css`]: { contentType: 'text/css', body: bundles.style },
    [`${address}favicon.ico`]: { contentType: 'image/x-icon', body: '' },
  }
  await page.route('**', async route => {
    const file = files[route.request().url()]
    if (file === undefined) {
      complaints.push(`asked for ${route.request().url()}`)
      await route.abort()
    } else {
      await route.fulfill(file)
    }
  })
  await page.addInitScript(`window.hostPlan = ${JSON.stringify(plan)};\n${bundles.host}`)
  await page.addInitScript(`document.addEventListener('readystatechange', () => { if (document.body) (${applyTheme.toString()})(${JSON.stringify(theme)}, ${JSON.stringify(themeColours[theme])}) })`)
  await page.goto(address)
  return { page, complaints }
}

export async function setTheme(page: Page, theme: Theme): Promise<void> {
  await page.evaluate(`(${applyTheme.toString()})(${JSON.stringify(theme)}, ${JSON.stringify(themeColours[theme])})`)
}

/** Runs in the page. */
function applyTheme(theme: string, colours: Record<string, string>): void {
  document.body.classList.remove('vscode-light', 'vscode-dark', 'vscode-high-contrast', 'vscode-high-contrast-light')
  document.body.classList.add(`vscode-${theme}`, ...theme === 'high-contrast-light' ? ['vscode-high-contrast'] : [])
  // Of the theme before nothing stays.
  for (const name of [...document.documentElement.style].filter(name => name.startsWith('--vscode-'))) document.documentElement.style.removeProperty(name)
  for (const [name, value] of Object.entries(colours)) document.documentElement.style.setProperty(name, value)
}

/** Waits until the picture stands still with the scene in it. */
export async function waitReady(page: Page): Promise<void> {
  // How long that may take is for the test to say.
  await page.waitForSelector('#viewer[data-state=ready][data-frames]', { timeout: 0 })
  await settle(page)
}

/** Waits until nothing is on its way between page and host and all of it is drawn; for those who count pixels: in full. */
export async function settle(page: Page, picture: 'full' | 'quick' = 'full'): Promise<void> {
  await page.evaluate(async enough => {
    const nextFrame = () => new Promise(drawn => requestAnimationFrame(drawn))
    const rests = () => window.wake.isQuiet && enough.includes(document.getElementById('viewer')?.dataset.picture ?? '')
    // What the page learns of its size and theme it learns with a frame.
    for (let frames = 0; frames < 2 || !rests(); frames++) await nextFrame()
  }, picture === 'full' ? ['drawn'] : ['quick', 'drawn'])
}

/** Waits until the screen has been drawn so many times, whatever was on it. */
export async function frames(page: Page, count: number): Promise<void> {
  await page.evaluate(async many => {
    for (let frame = 0; frame < many; frame++) await new Promise(drawn => requestAnimationFrame(drawn))
  }, count)
}

export function attribute(page: Page, name: string): Promise<string | undefined> {
  return page.evaluate(key => document.getElementById('viewer')?.dataset[key], name)
}

/** Number of the motion that the page stands at. */
export async function motion(page: Page): Promise<number> {
  return Number((await attribute(page, 'moment'))?.split(',')[0])
}
