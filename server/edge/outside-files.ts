import type { BinaryFile } from '../engine/service.ts'
import { readBytes } from './read-file.ts'

/** Whether a file that a sheet or machine file names may be read at all. */
export type MayRead = (path: string) => boolean

/** Why a file is left alone, as a sentence; undefined where it may be read. */
export function refusalOf(path: string, what: string, mayRead: MayRead | undefined): string | undefined {
  if (mayRead === undefined || mayRead(path)) return undefined
  return `${what} ${path} lies outside the open folders, and these are not trusted: it was not read. Allow this file by the quick fix, or trust the folder.`
}

/** The bytes of a file, or why there are none. */
export async function readAllowed(path: string, what: string, largest: number, mayRead: MayRead | undefined): Promise<BinaryFile> {
  const failure = refusalOf(path, what, mayRead)
  return failure === undefined ? readBytes(path, what, largest) : { path, failure }
}
