// Installs from Debian what the tests need of other programs.
import { existsSync } from 'node:fs'
import { delimiter, join } from 'node:path'
import { run } from './run.mjs'

/** Installs as root on Debian; anywhere else throws the sentence that says what is missing. */
export async function installFromDebian(packages, missing) {
  const mayInstall = process.getuid?.() === 0 && existsSync('/etc/debian_version') && onPath('apt-get')
  if (!mayInstall) throw new Error(missing)
  const env = { ...process.env, DEBIAN_FRONTEND: 'noninteractive' }
  for (const words of [['update', '-q'], ['install', '-qy', '--no-install-recommends', ...packages]]) {
    const { code, output } = await run('apt-get', words, { env })
    if (code !== 0) throw new Error(`"apt-get ${words.join(' ')}" failed.\n${output}`)
  }
}

export function onPath(name) {
  return (process.env.PATH ?? '').split(delimiter).some(folder => existsSync(join(folder, name)))
}
