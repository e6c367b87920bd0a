import { cacheFolder } from '../edge/cache-folder.ts'
import { clearResults } from '../edge/result-store.ts'
import { ExitCode } from './exit-codes.ts'
import type { Terminal } from './terminal.ts'

const MEGABYTE = 2 ** 20

/** Removes the results that checks have kept for the next time. */
export async function runClearCache(terminal: Terminal, folder = cacheFolder()): Promise<ExitCode> {
  const { files, bytes } = clearResults(folder)
  await terminal.output.write(files === 0
    ? `Nothing is kept in ${folder}.\n`
    : `${files} kept ${files === 1 ? 'result' : 'results'} with ${Math.ceil(bytes / MEGABYTE)} MB removed from ${folder}.\n`)
  return ExitCode.clean
}
