// Packages of npm: are the ones in the lock file there, and if not, put them there.
import { existsSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { run } from './run.mjs'

/** True when every package of the lock file stands in `node_modules` in its version, and no other version does. */
export function packagesAreCurrent(folder) {
  const installed = join(folder, 'node_modules/.package-lock.json')
  if (!existsSync(installed)) return false
  const wanted = packagesIn(join(folder, 'package-lock.json'))
  const present = packagesIn(installed)
  return Object.entries(wanted).every(([path, entry]) => {
    // The first entry is the project itself; optional packages are for other systems.
    if (path === '' || present[path] === undefined) return path === '' || entry.optional === true
    return present[path].version === entry.version && existsSync(join(folder, path, 'package.json'))
  })
}

/** Installs what the lock file says, without running any package's own scripts. */
export async function installPackages(folder) {
  if (packagesAreCurrent(folder)) return
  const { code, output } = await run('npm', ['ci', '--ignore-scripts', '--no-audit', '--no-fund', '--loglevel=error'], { cwd: folder })
  if (code !== 0) throw new Error(`"npm ci" failed in ${folder}.\n${output}`)
}

function packagesIn(path) {
  return JSON.parse(readFileSync(path, 'utf8')).packages
}
