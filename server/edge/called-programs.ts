import { readdirSync } from 'node:fs'
import { basename, dirname, extname, join, resolve } from 'node:path'
import type { CalledProgram } from '../engine/service.ts'
import { LARGEST_PROGRAM, readTextNow } from './read-file.ts'

/** Endings of program files, tried behind the caller's own. */
const usualEndings = ['.nc', '.cnc', '.ngc', '.tap', '']

/**
 * Finds the programs that a program calls by number: files beside it, then beside its sheet, told by
 * their names alone. O1000.nc, o1000, 1000.nc and 01000.nc all hold program 1000. Each file is read once.
 */
export class CalledPrograms {
  readonly #folders: readonly string[]
  readonly #endings: readonly string[]
  readonly #openText: (path: string) => string | undefined
  readonly #found = new Map<number, CalledProgram | undefined>()
  readonly #texts = new Map<string, string>()
  readonly #namesIn = new Map<string, ReadonlyMap<string, string>>()

  /** `openText`: a file as an editor holds it, which goes before the disk's. */
  constructor(programPath: string, sheetPath: string | undefined, openText: (path: string) => string | undefined = () => undefined) {
    const program = resolve(programPath)
    this.#folders = [...new Set([dirname(program), ...sheetPath === undefined ? [] : [dirname(resolve(sheetPath))]])]
    this.#endings = [...new Set([extname(program).toLowerCase(), ...usualEndings])]
    this.#openText = openText
  }

  /** The program with this number; without a text where its file cannot be read, which is then said. */
  readonly find = (number: number): CalledProgram | undefined => {
    if (!Number.isInteger(number) || number < 0) return undefined
    if (!this.#found.has(number)) this.#found.set(number, this.#read(number))
    return this.#found.get(number)
  }

  /** The text of a file as it was read for a call. */
  readonly textOf = (path: string): string | undefined => this.#texts.get(path)

  /** The texts of all files that have been read for calls. */
  texts(): string[] {
    return [...this.#texts.values()]
  }

  /** Whether a change of this file can change what the calls found, also by its coming or going. */
  concerns(path: string): boolean {
    if (!this.#folders.includes(dirname(path))) return false
    const name = basename(path).toLowerCase()
    return [...this.#found.keys()].some(number => this.#namesOf(number).includes(name))
  }

  #read(number: number): CalledProgram | undefined {
    for (const folder of this.#folders) {
      const names = this.#filesIn(folder)
      const name = this.#namesOf(number).map(wanted => names.get(wanted)).find(found => found !== undefined)
      if (name === undefined) continue
      const path = join(folder, name), open = this.#openText(path)
      const { file, failure } = open === undefined ? readTextNow(path, 'The called program', LARGEST_PROGRAM) : { file: { path, text: open } }
      if (file === undefined) return { path, failure: failure ?? '' }
      this.#texts.set(path, file.text)
      return file
    }
    return undefined
  }

  /** Names a file of this program can have, in lower case, the likeliest first. */
  #namesOf(number: number): string[] {
    const numbers = [...new Set([String(number), String(number).padStart(4, '0'), String(number).padStart(5, '0')])]
    return this.#endings.flatMap(ending => [...numbers.map(each => `o${each}${ending}`), ...numbers.map(each => `${each}${ending}`)])
  }

  /** Files of a folder by their names in lower case; none where it cannot be read. */
  #filesIn(folder: string): ReadonlyMap<string, string> {
    let names = this.#namesIn.get(folder)
    if (names === undefined) {
      names = new Map(filesOf(folder).map(name => [name.toLowerCase(), name]))
      this.#namesIn.set(folder, names)
    }
    return names
  }
}

function filesOf(folder: string): string[] {
  try {
    // Of two names that differ in case alone the first of the alphabet is taken: the last one set stays.
    return readdirSync(folder, { withFileTypes: true }).filter(entry => !entry.isDirectory()).map(entry => entry.name).sort().reverse()
  } catch {
    return []
  }
}
