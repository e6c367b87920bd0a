import type { Span } from '../../../shared/span.ts'

/** A place of the program, or a motion, that a rule keeps for the end. */
export interface Note {
  readonly span?: Span
  readonly motion?: number
}

/**
 * Notes of a rule in the order of the blocks. Of those with more than `most` between two checkpoints the later
 * ones are left out: a rule that only needs the first few of the whole program asks for no more than these.
 */
export class Notes<T extends Note = Note> {
  readonly list: T[] = []
  readonly #most: number
  #room: number

  constructor(most = Infinity) {
    this.#most = most
    this.#room = most
  }

  add(note: T): void {
    if (this.#room <= 0) return
    this.#room--
    this.list.push(note)
  }

  /** A checkpoint: from here the notes are counted anew. */
  beginStretch(): void {
    this.#room = this.#most
  }

  /** Puts notes of the same rule in the place of its own. */
  replace(notes: readonly Note[]): void {
    this.list.length = 0
    this.append(notes)
    this.beginStretch()
  }

  append(notes: readonly Note[]): void {
    for (const note of notes) this.list.push(note as T)
  }
}
