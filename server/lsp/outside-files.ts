import { resolve } from 'node:path'
import type { MayRead } from '../edge/outside-files.ts'
import { isInside, realOf } from '../edge/real-path.ts'

/**
 * Keeps files outside the open folders closed while those are not trusted: a sheet that came with a folder must not have files
 * elsewhere opened, or other computers asked for them, without its reader's consent.
 */
export class OutsideFiles {
  readonly #folders: () => readonly string[]
  readonly #allowed = new Set<string>()
  readonly #refused = new Set<string>()
  #isRestricted = false

  /** `folders`: those that are open, and those of documents that are. */
  constructor(folders: () => readonly string[]) {
    this.#folders = folders
  }

  /** Nothing of the open folders is trusted, as the client says. */
  restrict(): void {
    this.#isRestricted = true
  }

  /** The user's word for one file, or for all of them. */
  allow(path: string | undefined): void {
    if (path === undefined) this.#isRestricted = false
    else this.#allowed.add(resolve(path))
  }

  /** Files that were left alone so far. */
  get refused(): readonly string[] {
    return this.#isRestricted ? [...this.#refused].filter(path => !this.#allowed.has(path)) : []
  }

  readonly mayRead: MayRead = path => {
    const asked = resolve(path)
    if (!this.#isRestricted || this.#allowed.has(asked)) return true
    // A share of another computer is refused by its name: to follow its links would be to ask that computer.
    const isShare = /^[\\/]{2}/.test(path)
    if (!isShare && this.#folders().some(folder => isInside(realOf(asked), realOf(folder)))) return true
    this.#refused.add(asked)
    return false
  }
}
