import { execFileSync } from 'node:child_process'
import { readdirSync } from 'node:fs'
import { fileURLToPath } from 'node:url'

/** The project's folder. */
export const root = new URL('../../', import.meta.url)

const leftOut = new Set(['node_modules', 'dist', '.out', '.git', '.cache'])

/** Paths below a folder of the project, from the project's folder on, in alphabetical order. */
export function filesBelow(folder: string, ending = ''): string[] {
  const below = (path: string): string[] => readdirSync(new URL(`${path}/`, root), { withFileTypes: true }).flatMap(entry => {
    if (leftOut.has(entry.name)) return []
    const inner = `${path}/${entry.name}`
    return entry.isDirectory() ? below(inner) : entry.name.endsWith(ending) ? [inner] : []
  })
  return below(folder).sort()
}

/** Every file that git keeps or would keep. */
export function keptFiles(): string[] {
  const list = execFileSync('git', ['ls-files', '--cached', '--others', '--exclude-standard'], { cwd: fileURLToPath(root), encoding: 'utf8' })
  return [...new Set(list.split('\n').filter(path => path !== ''))].sort()
}
