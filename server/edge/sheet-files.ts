import { readdirSync } from 'node:fs'
import { join, relative, resolve, sep } from 'node:path'
import type { SheetFiles } from '../engine/service.ts'
import { foldersUp } from './find-setup.ts'

/** Files of one kind that are offered; more are no choice. */
const MOST_FILES = 50

/** The files a new sheet in a folder may name: machine files there and above it up to the root, meshes beside it. */
export function filesForSheet(folder: string, roots: readonly string[]): SheetFiles {
  const place = resolve(folder), fromSheet = (path: string) => relative(place, path).split(sep).join('/')
  const named = (at: string, ending: RegExp) => namesIn(at).filter(name => ending.test(name)).map(name => fromSheet(join(at, name)))
  return {
    machines: foldersUp(place, roots.map(root => resolve(root))).flatMap(at => named(at, /\.machine\.json$/i)).slice(0, MOST_FILES),
    meshes: named(place, /\.(stl|ply|obj|3mf|gltf|glb)$/i).slice(0, MOST_FILES),
  }
}

/** In the order of the alphabet; none where the folder cannot be read. */
function namesIn(folder: string): string[] {
  try {
    return readdirSync(folder).sort()
  } catch {
    return []
  }
}
