import { readdirSync } from 'node:fs'
import { basename, dirname, join, relative, resolve, sep } from 'node:path'
import { namedFiles } from '../engine/service.ts'
import { matchesGlob } from './glob.ts'
import { LARGEST_SHEET, readTextNow } from './read-file.ts'

const ENDING = '.setup.json'

/** Folders looked through upward where no workspace says where to stop. */
const MOST_FOLDERS = 32

/** Sheets read in one folder; a folder with more is no place of work. */
const MOST_SHEETS = 500

/**
 * The sheet that belongs to a program: one beside it, then in each parent up to the workspace's
 * root, whose `programs` match; else one beside it with the same base name. Undefined: there is none.
 * Without roots the working directory is the root; a program outside every root is looked for in its own folder only.
 */
export function findSetup(programPath: string, workspaceRoots: readonly string[] = [process.cwd()]): string | undefined {
  const program = resolve(programPath)
  const folder = dirname(program)
  for (const place of foldersUp(folder, workspaceRoots.map(root => resolve(root)))) {
    for (const sheet of sheetsIn(place)) {
      const path = join(place, sheet)
      const { file } = readTextNow(path, 'The setup sheet', LARGEST_SHEET)
      if (file === undefined) continue
      const wanted = relative(place, program).split(sep).join('/')
      if (namedFiles(file).programs.some(glob => matchesGlob(wanted, glob))) return path
    }
  }
  const own = basename(program).replace(/\.[^.]*$/, '') + ENDING
  return sheetsIn(folder).includes(own) ? join(folder, own) : undefined
}

/** The folder and its parents as far as the innermost root that holds it. */
function foldersUp(folder: string, roots: readonly string[]): string[] {
  const root = roots.filter(candidate => holds(candidate, folder)).sort((a, b) => b.length - a.length)[0]
  const folders = [folder]
  let at = folder
  while (root !== undefined && at !== root && folders.length < MOST_FOLDERS) {
    at = dirname(at)
    folders.push(at)
  }
  return folders
}

function holds(root: string, folder: string): boolean {
  return folder === root || folder.startsWith(root.endsWith(sep) ? root : root + sep)
}

/** Names of the sheets in a folder, in the order of the alphabet; none where it cannot be read. */
function sheetsIn(folder: string): string[] {
  try {
    return readdirSync(folder).filter(name => name.toLowerCase().endsWith(ENDING)).sort().slice(0, MOST_SHEETS)
  } catch {
    return []
  }
}
