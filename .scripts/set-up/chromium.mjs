// The browser that shows the editor under test.
import { existsSync } from 'node:fs'
import { delimiter, join } from 'node:path'
import { run } from './run.mjs'

/** Throws one line that says what to install where it cannot be installed from here. */
export async function needChromium() {
  const { CHROMIUM } = process.env
  if (CHROMIUM !== undefined) {
    if (existsSync(CHROMIUM)) return
    throw new Error(`CHROMIUM names ${CHROMIUM}, and there is no such file.`)
  }
  if (chromiumIsOnPath()) return
  const mayInstall = process.getuid?.() === 0 && existsSync('/etc/debian_version') && onPath('apt-get')
  if (!mayInstall) {
    throw new Error('Chromium is missing: install it (on Debian: apt-get install chromium fonts-dejavu-core), or set CHROMIUM to its path.')
  }
  const env = { ...process.env, DEBIAN_FRONTEND: 'noninteractive' }
  for (const words of [['update', '-q'], ['install', '-qy', '--no-install-recommends', 'chromium', 'fonts-dejavu-core']]) {
    const { code, output } = await run('apt-get', words, { env })
    if (code !== 0) throw new Error(`"apt-get ${words.join(' ')}" failed.\n${output}`)
  }
}

function chromiumIsOnPath() {
  return onPath('chromium') || onPath('chromium-browser')
}

function onPath(name) {
  return (process.env.PATH ?? '').split(delimiter).some(folder => existsSync(join(folder, name)))
}
