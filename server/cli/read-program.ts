import { createHash } from 'node:crypto'
import { readFile, stat } from 'node:fs/promises'
import { resolve } from 'node:path'
import type { InputFile } from './check-report.ts'
import type { Terminal } from './terminal.ts'

/** The largest program that is read: what fits in one text of the runtime, with room for what is made of it. */
const MOST_BYTES = 256 * 1024 * 1024

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
  readonly failure?: string
}

export async function readProgram(name: string, terminal: Terminal): Promise<ProgramFile> {
  const path = name === '-' ? '-' : resolve(terminal.folder, name)
  const shown = name === '-' ? 'standard input' : name
  const bytes = await readBytes(path, shown, terminal)
  if (typeof bytes === 'string') return { name: shown, path, text: '', failure: bytes }
  const input: InputFile = {
    role: 'program',
    path,
    sha256: createHash('sha256').update(bytes).digest('hex'),
    length: bytes.length,
  }
  const text = decode(bytes)
  const failure = typeof text === 'number' ? binary(shown, text)
    : text.trim() === '' ? `${capital(shown)} is empty: there is no block to check.`
      : undefined
  return { name: shown, path, text: typeof text === 'number' || failure !== undefined ? '' : text, input, failure }
}

async function readBytes(path: string, shown: string, terminal: Terminal): Promise<Uint8Array | string> {
  try {
    if (path === '-') {
      const bytes = await terminal.readInput()
      return bytes.length > MOST_BYTES ? tooLarge(shown, bytes.length) : bytes
    }
    const about = await stat(path)
    if (about.isDirectory()) return `${shown} is a folder; a program is a file. Name the programs in it.`
    if (about.size > MOST_BYTES) return tooLarge(shown, about.size)
    return await readFile(path)
  } catch (error) {
    return unreadable(shown, error)
  }
}

/** Programs are ASCII or UTF-8, with or without a byte order mark; UTF-16 only with one. The offset of a byte no text holds otherwise. */
function decode(bytes: Uint8Array): string | number {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return new TextDecoder('utf-16le').decode(bytes)
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return new TextDecoder('utf-16be').decode(bytes)
  // Leading zero bytes are the blank leader that punched tape and old transfers begin with.
  const first = bytes.findIndex(byte => byte !== 0)
  if (first < 0 && bytes.length > 0) return 0
  const zero = bytes.subarray(first, first + PROBE_BYTES).indexOf(0)
  if (zero >= 0) return first + zero
  return new TextDecoder('utf-8').decode(bytes)
}

/** What the system said, in words. */
export function unreadable(shown: string, error: unknown): string {
  const code = error instanceof Error && 'code' in error ? String(error.code) : ''
  const reasons: Readonly<Record<string, string>> = {
    ENOENT: 'is not there',
    ENOTDIR: 'is not there: a part of its path is a file',
    EACCES: 'may not be read: access is denied',
    EPERM: 'may not be read: access is denied',
    EISDIR: 'is a folder; a program is a file',
    ELOOP: 'is a link that leads back to itself',
    ENAMETOOLONG: 'has a name longer than the system takes',
    EIO: 'could not be read: the disk reports a fault',
  }
  return `${capital(shown)} ${reasons[code] ?? `could not be read (${code === '' ? String(error) : code})`}.`
}

function tooLarge(shown: string, size: number): string {
  return `${capital(shown)} has ${Math.round(size / 1024 / 1024)} MB; programs up to ${MOST_BYTES / 1024 / 1024} MB are read.`
}

function binary(shown: string, offset: number): string {
  return `${capital(shown)} is no program text: byte ${offset} is zero, which no text holds. Was a mesh or an archive named by mistake?`
}

function capital(shown: string): string {
  return shown === 'standard input' ? 'Standard input' : shown
}
