import { spawn } from 'node:child_process'
import { existsSync } from 'node:fs'
import { fileURLToPath } from 'node:url'

/** The command as it is built. */
export const builtCommand = fileURLToPath(new URL('../../dist/cli.cjs', import.meta.url))

export interface Ended {
  readonly code: number | null
  readonly signal: string | null
  readonly output: string
  readonly errors: string
}

export interface ProcessOptions {
  readonly folder: string
  readonly input?: string
  /** Milliseconds after which Ctrl-C is sent. */
  readonly stopAfter?: number
  readonly closeOutput?: boolean
  /** The folder in which the system keeps what can be worked out again. */
  readonly cache?: string
  /** Another command than the built one: what was installed from a package. */
  readonly command?: string
}

/** Runs the built command in a process of its own and waits for its end. */
export function runToolwake(args: readonly string[], { folder, input, stopAfter, closeOutput, cache, command = builtCommand }: ProcessOptions): Promise<Ended> {
  if (!existsSync(command)) throw new Error(`${command} is not there: run "npm run build" first`)
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, [command, ...args], { cwd: folder, env: { ...process.env, ...cache === undefined ? {} : { XDG_CACHE_HOME: cache } } })
    let output = '', errors = ''
    child.stdout.setEncoding('utf8').on('data', (data: string) => { output += data })
    child.stderr.setEncoding('utf8').on('data', (data: string) => { errors += data })
    if (closeOutput === true) child.stdout.destroy()
    if (stopAfter !== undefined) setTimeout(() => child.kill('SIGINT'), stopAfter)
    child.stdin.on('error', () => undefined).end(input ?? '')
    child.once('error', reject)
    child.once('close', (code, signal) => resolve({ code, signal, output, errors }))
  })
}
