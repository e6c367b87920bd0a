import { existsSync, realpathSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { ExitCode } from './exit-codes.ts'
import type { Terminal } from './terminal.ts'

/**
 * Starts the language server, which lies in a bundle of its own beside this one so that a check
 * need not load it. Undefined once it runs: it ends the process itself when its client has gone.
 */
export async function runServe(program: string, terminal: Terminal): Promise<ExitCode | undefined> {
  const bundle = join(dirname(realpathSync(program)), 'server.cjs')
  if (!existsSync(bundle)) {
    await terminal.errors.write(`toolwake: The language server should lie in ${bundle}, but it is not there; build or install toolwake again.\n`)
    return ExitCode.unusable
  }
  const server = await import(pathToFileURL(bundle).href) as { startServer: () => void }
  server.startServer()
  return undefined
}
