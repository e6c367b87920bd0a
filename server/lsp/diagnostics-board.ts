import type { Diagnostic } from './protocol.ts'

/** What hangs on the board for one address. `version`: of the document that was read, where the editor holds it open. */
export interface Notice {
  readonly uri: string
  readonly version?: number
  readonly diagnostics: Diagnostic[]
}

/**
 * Who said what about which file. Several open programs can have the same thing to say about one
 * setup sheet: it is shown once, and stays until the last of them no longer says it.
 */
export class DiagnosticsBoard {
  readonly #send: (notice: Notice) => void
  /** By program, then by the address of the file it speaks about. */
  readonly #said = new Map<string, Map<string, Diagnostic[]>>()

  constructor(send: (notice: Notice) => void) {
    this.#send = send
  }

  /** Replaces all that a program has said. */
  post(program: string, version: number, byUri: ReadonlyMap<string, Diagnostic[]>): void {
    const before = this.#said.get(program)
    this.#said.set(program, new Map(byUri))
    this.#send({ uri: program, version, diagnostics: this.#about(program) })
    for (const uri of new Set([...before?.keys() ?? [], ...byUri.keys()])) {
      if (uri !== program && !same(before?.get(uri), byUri.get(uri))) this.#send({ uri, diagnostics: this.#about(uri) })
    }
  }

  /** Takes down what a closed program has said. */
  clear(program: string): void {
    const before = this.#said.get(program)
    this.#said.delete(program)
    for (const uri of before?.keys() ?? []) this.#send({ uri, diagnostics: this.#about(uri) })
  }

  #about(uri: string): Diagnostic[] {
    const unique = new Map<string, Diagnostic>()
    for (const byUri of this.#said.values()) {
      for (const diagnostic of byUri.get(uri) ?? []) unique.set(JSON.stringify(diagnostic), diagnostic)
    }
    return [...unique.values()]
  }
}

function same(a: readonly Diagnostic[] | undefined, b: readonly Diagnostic[] | undefined): boolean {
  return JSON.stringify(a) === JSON.stringify(b)
}
