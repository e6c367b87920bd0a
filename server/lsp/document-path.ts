import { fileURLToPath, pathToFileURL } from 'node:url'

/** The path of a document on disk; undefined for one that lives only in the editor. */
export function pathOf(uri: string): string | undefined {
  if (!uri.startsWith('file:')) return undefined
  try {
    return fileURLToPath(uri)
  } catch {
    // An address of another host, or with characters no path has: it is not on this disk.
    return undefined
  }
}

export function uriOf(path: string): string {
  return pathToFileURL(path).toString()
}
