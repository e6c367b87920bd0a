import { ExitCode } from './exit-codes.ts'
import type { Terminal } from './terminal.ts'
import { wantsColour } from './terminal.ts'
import { writeWhole } from './write-output.ts'

/** Hands the text over, to the file named or to standard output, and answers with the exit code. `text`: with colour or without. */
export async function deliver(text: (colour: boolean) => string, output: string | undefined, terminal: Terminal, exitCode: ExitCode): Promise<ExitCode> {
  if (output === undefined) {
    await terminal.output.write(text(wantsColour(terminal.output, terminal.environment)))
    return exitCode
  }
  const unwritten = await writeWhole(output, terminal.folder, text(false))
  if (unwritten === undefined) return exitCode
  await terminal.errors.write(`toolwake: ${unwritten}\n`)
  return ExitCode.unusable
}
