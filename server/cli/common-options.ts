import type { Level } from '../../shared/finding.ts'
import { levels } from '../../shared/finding.ts'

// Options that several commands take, read alike.

export interface ReadOptions {
  readonly positionals: readonly string[]
  /** Option name, without dashes, to what was given with it. */
  readonly values: ReadonlyMap<string, readonly string[]>
}

export interface CommonOptions {
  readonly setup?: string
  readonly format: 'text' | 'sarif'
  readonly output?: string
  readonly failOn: Level
  readonly threads?: number
  /** MB that meshes may take; absent: as many as there are. */
  readonly memory?: number
  /** Use results that were kept, and keep those of this check. */
  readonly cache: boolean
  readonly progress: boolean
}

/** What follows each of them, or nothing for a plain switch. */
export const commonOptionWords: Readonly<Record<string, string | undefined>> = {
  'setup': 'FILE', 'format': 'text or sarif', 'output': 'FILE', 'fail-on': levelNames(), 'threads': 'a number', 'memory': 'a number of MB', 'no-cache': undefined, 'no-progress': undefined,
}

/** Most threads that can be asked for: beyond it a typing slip is likelier than such a machine. */
const MOST_THREADS = 256

/** A sentence where a value is none that the option can have. */
export function commonOptions({ values }: ReadOptions): CommonOptions | string {
  const one = (name: string) => values.get(name)?.[0]
  const format = one('format') ?? 'text'
  if (format !== 'text' && format !== 'sarif') return `--format can be text or sarif; "${format}" was given.`
  const failOnWord = one('fail-on') ?? 'error'
  const failOn = levels.find(level => level === failOnWord)
  if (failOn === undefined) return `--fail-on can be ${levelNames()}; "${failOnWord}" was given.`
  const threadsWord = one('threads')
  const threads = threadsWord === undefined ? undefined : Number(threadsWord)
  if (threads !== undefined && !(Number.isInteger(threads) && threads >= 1 && threads <= MOST_THREADS)) {
    return `--threads can be a whole number from 1 to ${MOST_THREADS}; "${threadsWord}" was given.`
  }
  const memoryWord = one('memory')
  const memory = memoryWord === undefined ? undefined : Number(memoryWord)
  if (memory !== undefined && !(Number.isInteger(memory) && memory >= 1)) {
    return `--memory can be a whole number of MB from 1 on; "${memoryWord}" was given.`
  }
  const cache = !values.has('no-cache')
  return { setup: one('setup'), format, output: one('output'), failOn, threads, memory, cache, progress: !values.has('no-progress') }
}

function levelNames(): string {
  return `${levels.slice(1).toReversed().join(', ')} or ${levels[0]}`
}
