import { homedir } from 'node:os'
import { isAbsolute, join } from 'node:path'

/** What the rules below look at. */
export interface Surroundings {
  readonly platform: string
  readonly environment: Readonly<Record<string, string | undefined>>
  readonly home: string
}

/**
 * The folder for results that can be worked out again, by the rules of the system: `XDG_CACHE_HOME` or `~/.cache` (XDG Base
 * Directory Specification 0.8), `~/Library/Caches`, `%LOCALAPPDATA%`. A relative `XDG_CACHE_HOME` does not count, says the same source.
 */
export function cacheFolder({ platform, environment, home }: Surroundings = { platform: process.platform, environment: process.env, home: homedir() }): string {
  const stated = environment['XDG_CACHE_HOME']
  if (stated !== undefined && isAbsolute(stated)) return join(stated, 'toolwake')
  if (platform === 'win32') return join(environment['LOCALAPPDATA'] ?? join(home, 'AppData', 'Local'), 'toolwake', 'cache')
  return platform === 'darwin' ? join(home, 'Library', 'Caches', 'toolwake') : join(home, '.cache', 'toolwake')
}
