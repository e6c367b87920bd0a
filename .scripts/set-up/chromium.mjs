// The browser that shows the editor under test.
import { existsSync } from 'node:fs'
import { installFromDebian, onPath } from './debian.mjs'

/** Throws one line that says what to install where it cannot be installed from here. */
export async function needChromium() {
  const { CHROMIUM } = process.env
  if (CHROMIUM !== undefined) {
    if (existsSync(CHROMIUM)) return
    throw new Error(`CHROMIUM names ${CHROMIUM}, and there is no such file.`)
  }
  if (onPath('chromium') || onPath('chromium-browser')) return
  await installFromDebian(['chromium', 'fonts-dejavu-core'], 'Chromium is missing: install it (on Debian: apt-get install chromium fonts-dejavu-core), or set CHROMIUM to its path.')
}
