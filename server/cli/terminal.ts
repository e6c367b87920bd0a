import type { WriteStream } from 'node:tty'
import { processDialogue, type Dialogue } from './dialogue.ts'
import { reasonWords } from './write-output.ts'

/** What a command has of the outside: handed in, so that tests can hold it in their hands. */
export interface Terminal {
  /** Working folder, absolute. */
  readonly folder: string
  readonly output: Sink
  readonly errors: Sink
  readonly readInput: () => Promise<Uint8Array>
  /** Begins to ask the person at the terminal; absent where nobody sits there. */
  readonly openDialogue?: () => Dialogue
  readonly environment: Readonly<Record<string, string | undefined>>
}

export interface Sink {
  /** Settles when the text has been handed over. A reader that has gone away is no fault. */
  readonly write: (text: string) => Promise<void>
  readonly isTerminal: boolean
}

/** Standard output or standard error takes no more, for instance because it is a file on a full disk: no fault of the program. */
export class UnwrittenOutput extends Error {
  constructor(cause: unknown) {
    super(`The output could not be written as a whole: ${reasonWords(cause)}.`, { cause })
  }
}

export function processTerminal(): Terminal {
  return {
    folder: process.cwd(),
    output: sink(process.stdout),
    errors: sink(process.stderr),
    readInput: readStandardInput,
    openDialogue: processDialogue(),
    environment: process.env,
  }
}

/** Colour only where a person looks, and not against their wish (no-color.org: any value but an empty one). */
export function wantsColour(sink: Sink, environment: Terminal['environment']): boolean {
  return sink.isTerminal && !environment['NO_COLOR'] && environment['TERM'] !== 'dumb'
}

function sink(stream: WriteStream): Sink {
  // What goes wrong is told to whoever writes, below; without a listener it would end the process before that.
  stream.on('error', () => undefined)
  return {
    isTerminal: stream.isTTY === true,
    write: text => new Promise((resolve, reject) => {
      stream.write(text, error => {
        // `toolwake check … | head` closes the pipe early: there is nobody left to tell.
        if (error && (error as NodeJS.ErrnoException).code !== 'EPIPE') reject(new UnwrittenOutput(error))
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
