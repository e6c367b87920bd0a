import { readFileSync, statSync } from 'node:fs'
import { isAbsolute, relative } from 'node:path'
import { decode } from '../edge/read-file.ts'
import type { TextLines } from './text-lines.ts'
import { linesOf } from './text-lines.ts'

// Files as the reader of the findings sees them: their paths, and the text that findings point into.

/** The largest file besides the program whose text is shown. */
const MOST_SHOWN_BYTES = 4 * 1024 * 1024

/** Relative inside the working folder, else as it is. */
export function shownPath(path: string, folder: string): string {
  const way = relative(folder, path)
  return way === '' || way.startsWith('..') || isAbsolute(way) ? path : way
}

/** Texts of files that findings point into, each read once; none for meshes and for files that went away since. */
export function textReader(): (path: string) => TextLines | undefined {
  const read = new Map<string, TextLines | undefined>()
  return path => {
    if (!read.has(path)) read.set(path, readText(path))
    return read.get(path)
  }
}

function readText(path: string): TextLines | undefined {
  try {
    if (statSync(path).size > MOST_SHOWN_BYTES) return undefined
    const bytes = readFileSync(path)
    return bytes.includes(0) ? undefined : linesOf(decode(bytes))
  } catch {
    // The finding stands without its line of code; its message says what is wrong with the file.
    return undefined
  }
}
