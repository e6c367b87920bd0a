import { readdirSync } from 'node:fs'
import { basename, dirname, join, relative, resolve, sep } from 'node:path'
import { namedFiles } from '../engine/service.ts'
import { isPattern, matchesGlob } from './glob.ts'
import { LARGEST_SHEET, readTextNow } from './read-file.ts'

const ENDING = '.setup.json'

/** Folders looked through upward where no workspace says where to stop. */
const MOST_FOLDERS = 32

/** Sheets read in one folder; a folder with more is no place of work. */
const MOST_SHEETS = 500

/** The sheet of a program. */
export interface FoundSetup {
  readonly path: string
  /** Sheets that would serve the program as well, so that taking this one was a choice that nobody has made yet. */
  readonly others: readonly string[]
}

/**
 * The sheet that belongs to a program: one beside it, then in each parent up to the workspace's
 * root, whose `programs` match; else one beside it with the same base name. Undefined: there is none.
 * Of several in a folder the one that names the program outright goes before those whose patterns fit it, and the one
 * with its base name before the first of the alphabet.
 * Without roots the working directory is the root; a program outside every root is looked for in its own folder only.
 */
export function findSetup(programPath: string, workspaceRoots: readonly string[] = [process.cwd()]): FoundSetup | undefined {
  const program = resolve(programPath), folder = dirname(program)
  const ownName = basename(program).replace(/\.[^.]*$/, '') + ENDING, own = sheetsIn(folder).includes(ownName) ? join(folder, ownName) : undefined
  for (const place of foldersUp(folder, workspaceRoots.map(root => resolve(root)))) {
    const { naming, fitting } = sheetsFor(program, place)
    if (naming.length > 0) return taken(naming, own)
    if (fitting.length > 0) return taken(own === undefined || fitting.includes(own) ? fitting : [...fitting, own], fitting.includes(own ?? '') ? own : fitting[0])
  }
  return own === undefined ? undefined : { path: own, others: [] }
}

/** The preferred one where it is among them, else the first. */
function taken(sheets: readonly string[], preferred: string | undefined): FoundSetup | undefined {
  const path = sheets.find(sheet => sheet === preferred) ?? sheets[0]
  return path === undefined ? undefined : { path, others: sheets.filter(sheet => sheet !== path) }
}

/** The sheets of a folder that name the program outright, and those that have a pattern which fits it. */
function sheetsFor(program: string, place: string): { readonly naming: readonly string[], readonly fitting: readonly string[] } {
  const wanted = relative(place, program).split(sep).join('/'), naming: string[] = [], fitting: string[] = []
  for (const sheet of sheetsIn(place)) {
    const path = join(place, sheet)
    const { file } = readTextNow(path, 'The setup sheet', LARGEST_SHEET)
    const globs = file === undefined ? [] : namedFiles(file).programs.filter(glob => matchesGlob(wanted, glob))
    if (globs.some(glob => !isPattern(glob))) naming.push(path)
    else if (globs.length > 0) fitting.push(path)
  }
  return { naming, fitting }
}

/** The folder and its parents as far as the innermost root that holds it. */
export function foldersUp(folder: string, roots: readonly string[]): string[] {
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
