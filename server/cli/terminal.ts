import type { WriteStream } from 'node:tty'

/** What a command has of the outside: handed in, so that tests can hold it in their hands. */
export interface Terminal {
  /** Working folder, absolute. */
  readonly folder: string
  readonly output: Sink
  readonly errors: Sink
  readonly readInput: () => Promise<Uint8Array>
  readonly environment: Readonly<Record<string, string | undefined>>
}

export interface Sink {
  /** Settles when the text has been handed over. A reader that has gone away is no fault. */
  readonly write: (text: string) => Promise<void>
  readonly isTerminal: boolean
}

export function processTerminal(): Terminal {
  return {
    folder: process.cwd(),
    output: sink(process.stdout),
    errors: sink(process.stderr),
    readInput: readStandardInput,
    environment: process.env,
  }
}

/** Colour only where a person looks, and not against their wish (no-color.org: any value but an empty one). */
export function wantsColour(sink: Sink, environment: Terminal['environment']): boolean {
  return sink.isTerminal && !environment['NO_COLOR'] && environment['TERM'] !== 'dumb'
}

function sink(stream: WriteStream): Sink {
  // `toolwake check … | head` closes the pipe early: there is nobody left to tell.
  stream.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code !== 'EPIPE') throw error
  })
  return {
    isTerminal: stream.isTTY === true,
    write: text => new Promise((resolve, reject) => {
      stream.write(text, error => {
        if (error && (error as NodeJS.ErrnoException).code !== 'EPIPE') reject(error)
        else resolve()
      })
    }),
  }
}

async function readStandardInput(): Promise<Uint8Array> {
  const chunks: Uint8Array[] = []
  for await (const chunk of process.stdin) chunks.push(typeof chunk === 'string' ? Buffer.from(chunk) : chunk)
  return Buffer.concat(chunks)
}
