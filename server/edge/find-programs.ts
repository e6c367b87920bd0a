import { readdirSync, statSync } from 'node:fs'
import { join, resolve } from 'node:path'
import { matchesGlob } from './glob.ts'

/** Endings of files that are taken for programs where a folder is named; the editor takes the same. */
export const programEndings = ['.nc', '.cnc', '.ngc', '.tap'] as const

/** Folders deeper than this are not looked into: links have made a ring, or it is no place of work. */
const DEEPEST = 40

/**
 * The programs that a call names, each once: a file is itself, a folder stands for the programs in it
 * and below, a name with * or ? that no file has for those that fit. In the order of the call, those of one name
 * in the order of the alphabet. A sentence where a name stands for nothing.
 */
export function findPrograms(names: readonly string[], folder: string): string[] | string {
  const found = new Map<string, string>()
  for (const name of names) {
    const programs = programsOf(name, folder)
    if (typeof programs === 'string') return programs
    for (const program of programs) {
      const path = program === '-' ? '-' : resolve(folder, program)
      if (!found.has(path)) found.set(path, program)
    }
  }
  return [...found.values()]
}

function programsOf(name: string, folder: string): string[] | string {
  if (name === '-') return [name]
  const path = resolve(folder, name), kind = kindOf(path)
  if (kind === 'folder') {
    const programs = filesBelow(path, '').filter(isProgram).sort(byName).map(file => join(name, file))
    return programs.length > 0 ? programs : `The folder ${name} holds no program (${programEndings.join(', ')}).`
  }
  if (kind === 'other' || !/[*?]/.test(name)) return [name]
  const segments = name.replaceAll('\\', '/').split('/'), fixed = segments.slice(0, segments.findIndex(segment => /[*?]/.test(segment)))
  const base = fixed.length === 0 ? '.' : fixed.join('/') || '/', rest = segments.slice(fixed.length).join('/')
  const programs = filesBelow(resolve(folder, base), '').filter(file => matchesGlob(file, rest)).sort(byName).map(file => fixed.length === 0 ? file : join(base, file))
  return programs.length > 0 ? programs : `No file fits ${name}.`
}

/** What stands there; `none` also where it cannot be looked at, which whoever reads it will say. */
function kindOf(path: string): 'folder' | 'other' | 'none' {
  try {
    return statSync(path).isDirectory() ? 'folder' : 'other'
  } catch {
    return 'none'
  }
}

function isProgram(file: string): boolean {
  return programEndings.some(ending => file.toLowerCase().endsWith(ending))
}

/** The whole way counts: the order in which merged runs stand. */
function byName(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0
}

/** Files below a folder, with forward slashes; hidden ones and installed packages are left out. */
function filesBelow(folder: string, way: string, depth = 0): string[] {
  if (depth > DEEPEST) return []
  try {
    const entries = readdirSync(join(folder, way), { withFileTypes: true }).filter(({ name }) => !name.startsWith('.') && name !== 'node_modules')
    return entries.flatMap(entry => {
      const inside = way === '' ? entry.name : `${way}/${entry.name}`
      if (entry.isDirectory()) return filesBelow(folder, inside, depth + 1)
      const isFile = entry.isFile() || entry.isSymbolicLink() && statSync(join(folder, inside), { throwIfNoEntry: false })?.isFile() === true
      return isFile ? [inside] : []
    })
  } catch {
    // A folder that may not be read has no programs for us; those named by themselves are complained about.
    return []
  }
}
