import { execFile } from 'node:child_process'
import { basename, dirname, join, resolve } from 'node:path'
import { namedBodies, namedFiles } from '../engine/service.ts'
import { findSetup } from './find-setup.ts'
import { LARGEST_SHEET, readTextNow } from './read-file.ts'
import { isInside, realOf } from './real-path.ts'
import { programsOfSheet } from './stock-source.ts'

// What has changed since a revision, asked of git, and which programs it concerns.

export interface ChangedFiles {
  /** The working tree's top folder. */
  readonly root: string
  /** Absolute; files that are gone and files that git does not know yet among them. */
  readonly paths: ReadonlySet<string>
}

/** Bytes of names that git may answer with. */
const MOST_NAMES = 256 * 1024 * 1024

/** The files that differ from the revision, in the working tree as it lies there. A sentence where git cannot say. */
export async function changedSince(revision: string, folder: string): Promise<ChangedFiles | string> {
  const root = await git(folder, ['rev-parse', '--show-toplevel'])
  if (root.text === undefined) return `--changed-since: ${root.isMissing ? 'git is not installed' : 'this folder is not in a working tree of git'}.`
  const top = root.text.replace(/\n$/, '')
  // A hash from here on: a name that begins with a dash cannot be taken for an option.
  const commit = await git(top, ['rev-parse', '--verify', '--quiet', '--end-of-options', `${revision}^{commit}`])
  if (commit.text === undefined) return `--changed-since: git knows no revision "${revision}" here. A clone without history needs more of it (git fetch --unshallow).`
  const [tracked, others] = await Promise.all([
    git(top, ['diff', '--name-only', '--no-renames', '--no-ext-diff', '-z', commit.text.trim(), '--']),
    git(top, ['ls-files', '--others', '--exclude-standard', '-z']),
  ])
  if (tracked.text === undefined || others.text === undefined) return '--changed-since: git could not list what has changed.'
  const names = [...tracked.text.split('\0'), ...others.text.split('\0')].filter(name => name !== '')
  const real = realOf(top)
  return { root: real, paths: new Set(names.map(name => join(real, name))) }
}

/**
 * Whether a change can have touched what a program is checked with: itself, its sheet or one that might
 * become its sheet, the machine file, meshes, and programs beside it that it may call. On the safe side. A program that git does not hold always counts.
 */
export function isConcerned(program: string, { root, paths }: ChangedFiles, setupPath: string | undefined, roots: readonly string[]): boolean {
  const path = realOf(program), folder = dirname(path)
  if (!isInside(path, root)) return true
  if (paths.has(path)) return true
  const sheet = setupPath ?? findSetup(program, roots)?.path
  if (sheet !== undefined && [sheet, ...namedBy(sheet)].some(file => paths.has(realOf(file)) || !isInside(realOf(file), root))) return true
  const besides = new Set([folder, ...sheet === undefined ? [] : [dirname(realOf(sheet))]])
  return [...paths].some(changed => {
    const place = dirname(changed), name = basename(changed).toLowerCase()
    const isSheetAbove = name.endsWith('.setup.json') && setupPath === undefined && isInside(folder, place)
    return isSheetAbove || besides.has(place) && /^o?\d+(\.[a-z]+)?$/.test(name)
  })
}

/** The files that a sheet and its machine file name, and those of the sheets that leave its stock. `chain`: the sheets that lead here. */
function namedBy(sheetPath: string, chain: readonly string[] = []): string[] {
  const sheet = readTextNow(sheetPath, 'The setup sheet', LARGEST_SHEET).file
  if (sheet === undefined) return []
  const { machine, part, others, earlier } = namedFiles(sheet)
  const machineFile = machine === undefined ? undefined : readTextNow(machine, 'The machine file', LARGEST_SHEET).file
  const own = [machine, part, ...others, ...machineFile === undefined ? [] : namedBodies(machineFile)].flatMap(path => path ?? []).map(path => resolve(path))
  return earlier === undefined || chain.includes(resolve(earlier)) ? own : [...own, ...ofEarlier(resolve(earlier), [...chain, resolve(sheetPath)])]
}

/** A sheet that leaves the stock, its programs and what it names. */
function ofEarlier(sheetPath: string, chain: readonly string[]): string[] {
  const sheet = readTextNow(sheetPath, 'The setup sheet', LARGEST_SHEET).file
  const programs = sheet === undefined ? [] : programsOfSheet({ path: sheetPath, programs: namedFiles(sheet).programs })
  return [sheetPath, ...programs, ...namedBy(sheetPath, chain)]
}

function git(folder: string, args: readonly string[]): Promise<{ readonly text?: string, readonly isMissing: boolean }> {
  return new Promise(answer => {
    execFile('git', ['-C', folder, ...args], { maxBuffer: MOST_NAMES }, (error, output) => {
      answer(error === null ? { text: output, isMissing: false } : { isMissing: error.code === 'ENOENT' })
    })
  })
}
