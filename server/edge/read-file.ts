import { closeSync, constants, fstatSync, openSync, readFileSync } from 'node:fs'
import { open, stat } from 'node:fs/promises'
import type { BinaryFile, TextFile } from '../engine/service.ts'

// Files of every kind come in here; what goes wrong comes back as a sentence, never as an exception.

/** A file's text, or in one sentence why there is none. */
export interface TextResult { readonly file?: TextFile, readonly failure?: string }

const MEGABYTE = 2 ** 20

/** Opening a pipe that nobody writes into would wait for ever (POSIX.1-2017, open); ordinary files are read as always. Windows has no such flag. */
const READ_AT_ONCE = constants.O_RDONLY | ((constants as { readonly O_NONBLOCK?: number }).O_NONBLOCK ?? 0)

/** A sheet or machine file is a few kilobytes; more is a mistaken name. */
export const LARGEST_SHEET = 8 * MEGABYTE

/** A posted program of the largest kind is some hundred megabytes. */
export const LARGEST_PROGRAM = 400 * MEGABYTE

/** 20 million binary facets. */
export const LARGEST_MESH = 1000 * MEGABYTE

/** How often a file is read that is written to meanwhile, before that is told. */
const READINGS = 3

/** The whole file as it was at one time; `what`: how the failure calls it, for example `The part's mesh`. */
export async function readBytes(path: string, what: string, largest: number): Promise<BinaryFile> {
  try {
    for (let reading = 0; reading < READINGS; reading++) {
      const read = await readOnce(path, what, largest)
      if (read !== undefined) return read
    }
    return { path, failure: `${what} ${path} was written to again and again while it was read. Check again once it is whole.` }
  } catch (error) {
    return { path, failure: failureOf(error, path, what) }
  }
}

/** Undefined where the file was written to meanwhile: half of what was read may be old and half new. */
async function readOnce(path: string, what: string, largest: number): Promise<BinaryFile | undefined> {
  const handle = await open(path, READ_AT_ONCE)
  try {
    const status = await handle.stat({ bigint: true })
    const failure = unfit(path, what, largest, status.isFile(), status.isDirectory(), Number(status.size))
    if (failure !== undefined) return { path, failure }
    const bytes = await handle.readFile(), after = await handle.stat({ bigint: true })
    return after.size === status.size && after.mtimeNs === status.mtimeNs && BigInt(bytes.length) === after.size ? { path, bytes } : undefined
  } finally {
    await handle.close()
  }
}

/** What changes whenever a file is written to or another one is put in its place; undefined where there is none. */
export async function stampOf(path: string): Promise<string | undefined> {
  try {
    const { dev, ino, size, mtimeNs } = await stat(path, { bigint: true })
    return [dev, ino, size, mtimeNs].join(' ')
  } catch {
    return undefined
  }
}

/** In one sentence why a file could not be read as a whole; undefined where it could. Its content is left alone. */
export async function whyUnreadable(path: string, what: string, largest: number): Promise<string | undefined> {
  try {
    const handle = await open(path, READ_AT_ONCE)
    try {
      const status = await handle.stat()
      return unfit(path, what, largest, status.isFile(), status.isDirectory(), status.size)
    } finally {
      await handle.close()
    }
  } catch (error) {
    return failureOf(error, path, what)
  }
}

export async function readText(path: string, what: string, largest: number): Promise<TextResult> {
  const { bytes, failure } = await readBytes(path, what, largest)
  return bytes === undefined ? { failure } : { file: { path, text: decode(bytes) } }
}

/** The same at once, for the search through folders. */
export function readTextNow(path: string, what: string, largest: number): TextResult {
  try {
    const handle = openSync(path, READ_AT_ONCE)
    try {
      const status = fstatSync(handle)
      const failure = unfit(path, what, largest, status.isFile(), status.isDirectory(), status.size)
      if (failure !== undefined) return { failure }
      return { file: { path, text: decode(readFileSync(handle)) } }
    } finally {
      closeSync(handle)
    }
  } catch (error) {
    return { failure: failureOf(error, path, what) }
  }
}

function unfit(path: string, what: string, largest: number, isFile: boolean, isFolder: boolean, size: number): string | undefined {
  if (isFolder) return `${what} ${path} is a folder, not a file.`
  if (!isFile) return `${what} ${path} is not an ordinary file.`
  if (size > largest) return `${what} ${path} has ${Math.ceil(size / MEGABYTE)} MB; at most ${Math.round(largest / MEGABYTE)} MB can be read.`
  return undefined
}

/** The system's reasons, in words. */
const reasons: Readonly<Record<string, string>> = {
  ENOENT: 'is not there',
  ENOTDIR: 'is not there: part of its path is a file, not a folder',
  EACCES: 'may not be read: the rights to it are missing',
  EPERM: 'may not be read: the rights to it are missing',
  EISDIR: 'is a folder, not a file',
  ELOOP: 'cannot be reached: its links run in a circle',
  ENAMETOOLONG: 'has a name too long for this system',
  EMFILE: 'cannot be opened: too many files are open',
  EBUSY: 'is in use by another program',
}

function failureOf(error: unknown, path: string, what: string): string {
  const code = error instanceof Error && 'code' in error && typeof error.code === 'string' ? error.code : undefined
  const detail = error instanceof Error ? error.message : String(error)
  return `${what} ${path} ${reasons[code ?? ''] ?? `cannot be read (${detail})`}.`
}

/** UTF-8 or, by its mark, UTF-16; else one byte a character, so that an old program keeps every column. */
export function decode(bytes: Uint8Array): string {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return new TextDecoder('utf-16le').decode(bytes)
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return new TextDecoder('utf-16be').decode(bytes)
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes)
  } catch {
    return new TextDecoder('latin1').decode(bytes)
  }
}

/** The bytes of a changed text in the form that `decode` found in the bytes it came from, mark included. */
export function encodeLike(original: Uint8Array, text: string): Uint8Array {
  const isLittle = original[0] === 0xff && original[1] === 0xfe
  if (isLittle || (original[0] === 0xfe && original[1] === 0xff)) {
    const bytes = new Uint8Array(2 + 2 * text.length), view = new DataView(bytes.buffer)
    view.setUint16(0, 0xfeff, isLittle)
    for (let i = 0; i < text.length; i++) view.setUint16(2 + 2 * i, text.charCodeAt(i), isLittle)
    return bytes
  }
  try {
    new TextDecoder('utf-8', { fatal: true }).decode(original)
  } catch {
    const ofByte = new Map([...new TextDecoder('latin1').decode(Uint8Array.from({ length: 256 }, (_, i) => i))].map((character, byte) => [character, byte]))
    return Uint8Array.from(text, character => ofByte.get(character) ?? 63)
  }
  const hasMark = original[0] === 0xef && original[1] === 0xbb && original[2] === 0xbf
  return new TextEncoder().encode(hasMark ? `\ufeff${text}` : text)
}
