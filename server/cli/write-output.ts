import { access, constants, lstat, realpath, rename, rm, stat, writeFile } from 'node:fs/promises'
import { basename, dirname, join, resolve } from 'node:path'

/**
 * Whether findings can be written to the file, found out before the long work begins. A sentence
 * when not. `inputs`: absolute paths that must not be written over; `option`: where the file is named.
 */
export async function outputFault(file: string, folder: string, inputs: readonly string[], option = '--output'): Promise<string | undefined> {
  const path = resolve(folder, file)
  const about = await stat(path).catch(() => undefined)
  if (about?.isDirectory() === true) return `${option} ${file} is a folder; name a file in it.`
  const target = await realpath(path).catch(() => path)
  for (const input of inputs) {
    if (await realpath(input).catch(() => input) === target) return `${option} ${file} is one of the files to be checked and would be written over.`
  }
  try {
    await access(about !== undefined && !about.isFile() ? path : dirname(target), constants.W_OK)
    return undefined
  } catch (error) {
    const parent = dirname(file)
    return isMissing(error) ? `${option} ${file}: the folder ${parent} is not there.` : `${option} ${file} may not be written: access is denied.`
  }
}

/** The whole text or nothing: a reader never sees half a file, and an old one stays until the new one is complete. `what`: how a failure calls the text. */
export async function writeWhole(file: string, folder: string, text: string | Uint8Array, what = 'The findings'): Promise<string | undefined> {
  const path = resolve(folder, file)
  try {
    const about = await lstat(path).catch(() => undefined)
    // A link keeps leading where it led; a pipe or a device is written to, not replaced.
    const target = about?.isSymbolicLink() === true ? await realpath(path).catch(() => path) : path
    const kind = await stat(target).catch(() => undefined)
    if (kind !== undefined && !kind.isFile()) {
      await writeFile(target, text)
      return undefined
    }
    const beside = join(dirname(target), `.${basename(target)}.${process.pid}.part`)
    try {
      await writeFile(beside, text, kind === undefined ? {} : { mode: kind.mode })
      await rename(beside, target)
    } catch (error) {
      await rm(beside, { force: true })
      throw error
    }
    return undefined
  } catch (error) {
    return `${what} could not be written to ${file}: ${reasonWords(error)}.`
  }
}

/** Why something could not be written, as the second half of a sentence. */
export function reasonWords(error: unknown): string {
  const code = error instanceof Error && 'code' in error ? String(error.code) : String(error)
  const words: Readonly<Record<string, string>> = {
    EACCES: 'access is denied',
    EPERM: 'access is denied',
    ENOSPC: 'the disk is full',
    EROFS: 'the disk is read-only',
  }
  return words[code] ?? code
}

function isMissing(error: unknown): boolean {
  return error instanceof Error && 'code' in error && (error.code === 'ENOENT' || error.code === 'ENOTDIR')
}
