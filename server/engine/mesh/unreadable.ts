import type { MeshResult } from './mesh-facets.ts'

/** Why a file cannot be used, from deep within it; never leaves the reader. */
export class Unreadable extends Error {}

/** The result, or why there is none in a sentence that follows the file's name. */
export function readOrSay(read: () => MeshResult): MeshResult {
  try {
    return read()
  } catch (error) {
    if (error instanceof Unreadable) return { failure: error.message }
    // A file may ask for more memory, or for deeper nesting, than there is.
    if (error instanceof RangeError) return { failure: `needs more memory than there is (${error.message}). Export the part with a coarser tolerance, or as binary STL.` }
    throw error
  }
}
