// The browser that shows the workbench. The only file that knows the browser driver.
import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { chromium, errors } from 'playwright-core'
import type { Browser } from 'playwright-core'

export type { Browser, Frame, FrameLocator, Locator, Page } from 'playwright-core'

export function launchBrowser(): Promise<Browser> {
  return chromium.launch({
    executablePath: findChromium(),
    headless: true,
    // Whoever started the browser ends it in order; it ends by itself when its starter is gone.
    handleSIGINT: false,
    handleSIGTERM: false,
    handleSIGHUP: false,
    args: [
      '--headless=new', '--no-sandbox', '--no-first-run', '--disable-quic', '--disable-sync',
      '--disable-background-networking', '--disable-component-update',
      // No name but this machine's can be resolved: a request to the outside fails and is seen.
      '--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1',
      // Three-dimensional drawing without a graphics card.
      '--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--ignore-gpu-blocklist',
    ],
  })
}

/** True for what the driver throws when something did not come in time. */
export function isTimeout(failure: unknown): boolean {
  return failure instanceof errors.TimeoutError
}

function findChromium(): string {
  const { CHROMIUM, PATH = '' } = process.env
  if (CHROMIUM !== undefined) return CHROMIUM
  for (const name of ['chromium', 'chromium-browser']) {
    const path = PATH.split(':').map(folder => join(folder, name)).find(existsSync)
    if (path !== undefined) return path
  }
  throw new Error('Chromium is not installed. Install it, or set CHROMIUM to its path.')
}
