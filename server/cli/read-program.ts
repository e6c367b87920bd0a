import { resolve } from 'node:path'
import { LARGEST_PROGRAM, decode, readBytes } from '../edge/read-file.ts'
import type { InputFile } from './check-report.ts'
import { hashed } from './hash-inputs.ts'
import type { Terminal } from './terminal.ts'

/** How far into a file a byte that no text holds is looked for. */
const PROBE_BYTES = 64 * 1024

/** A program's text as it lies on the disk, or in one sentence why there is none. */
export interface ProgramFile {
  /** As the user wrote it. */
  readonly name: string
  /** Absolute; `-` for standard input. */
  readonly path: string
  readonly text: string
  readonly input?: InputFile
  /** As they lie on the disk. */
  readonly bytes?: Uint8Array
  readonly failure?: string
}

export async function readProgram(written: string, terminal: Terminal): Promise<ProgramFile> {
  const fromInput = written === '-'
  const name = fromInput ? 'standard input' : written
  const path = fromInput ? '-' : resolve(terminal.folder, written)
  const { bytes, failure } = fromInput ? { bytes: await terminal.readInput() } : await readBytes(path, 'The program', LARGEST_PROGRAM)
  // The reader knows the file by the name in the call.
  if (bytes === undefined) return { name, path, text: '', failure: failure?.replace(path, written) }
  const input = hashed('program', path, bytes)
  const zero = zeroByte(bytes)
  if (zero !== undefined) {
    const wrong = `The program ${name} is no text: byte ${zero} is zero, which no text holds. Was a mesh or an archive named by mistake?`
    return { name, path, text: '', input, failure: wrong }
  }
  const text = decode(bytes)
  if (text.trim() === '') return { name, path, text: '', input, failure: `The program ${name} is empty: there is no block to check.` }
  return { name, path, text, input, bytes }
}

/** Offset of a byte that makes the file binary. A leader of zeros, as punched tape has it, and UTF-16 with its mark do not. */
function zeroByte(bytes: Uint8Array): number | undefined {
  const mark = bytes.length < 2 ? 0 : (bytes[0] ?? 0) * 256 + (bytes[1] ?? 0)
  if (mark === 0xfffe || mark === 0xfeff || bytes.length === 0) return undefined
  const first = bytes.findIndex(byte => byte !== 0)
  if (first < 0) return 0
  const zero = bytes.subarray(first, first + PROBE_BYTES).indexOf(0)
  return zero < 0 ? undefined : first + zero
}
