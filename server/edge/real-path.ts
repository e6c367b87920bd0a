import { realpathSync } from 'node:fs'
import { basename, dirname, join, sep } from 'node:path'

/** With every link followed, also for a file that is gone. */
export function realOf(path: string): string {
  try {
    return realpathSync(path)
  } catch {
    const folder = dirname(path)
    return folder === path ? path : join(realOf(folder), basename(path))
  }
}

/** Whether a path is the folder or lies in it; both with their links followed. */
export function isInside(path: string, folder: string): boolean {
  return path === folder || path.startsWith(folder.endsWith(sep) ? folder : folder + sep)
}
