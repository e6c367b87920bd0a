import type { CalledPrograms } from '../edge/called-programs.ts'
import { builtInMachine, type Place, type ProgramText } from '../engine/editor-service.ts'
import { lineStartsOf } from '../engine/service.ts'
import type { ProgramChecks } from './program-checks.ts'
import type { Range, TextDocument } from './protocol.ts'

/** A program as it is typed at this moment, for everything that need not wait until it has been read and run. */
export interface LiveProgram extends ProgramText {
  readonly version: number
  /** Files of programs that it calls, as far as the last reading has looked for them. */
  readonly findProgram: (number: number) => string | undefined
  /** The sheet as it was read. */
  readonly sheetText: string | undefined
  readonly called: CalledPrograms | undefined
}

/** The live programs, one for each version that is asked about. */
export class ProgramTexts {
  readonly #documentOf: (uri: string) => TextDocument | undefined
  readonly #checksOf: (uri: string) => ProgramChecks | undefined
  readonly #kept = new Map<string, { readonly version: number, readonly text: string, readonly lineStarts: Uint32Array }>()

  constructor(documentOf: (uri: string) => TextDocument | undefined, checksOf: (uri: string) => ProgramChecks | undefined) {
    this.#documentOf = documentOf
    this.#checksOf = checksOf
  }

  /** Undefined where no program is open under the address. */
  of(uri: string): LiveProgram | undefined {
    const document = this.#documentOf(uri), checks = this.#checksOf(uri)
    if (document === undefined || checks === undefined) return undefined
    const { scene, called } = checks, setup = scene?.scene.setup
    return {
      ...this.#textOf(document),
      machine: scene?.scene.machine ?? builtInMachine,
      setup,
      findProgram: number => called?.find(number)?.path,
      sheetText: setup === undefined ? undefined : scene?.textOf(setup.path),
      called,
    }
  }

  forget(uri: string): void {
    this.#kept.delete(uri)
  }

  #textOf(document: TextDocument): { readonly version: number, readonly text: string, readonly lineStarts: Uint32Array } {
    const kept = this.#kept.get(document.uri)
    if (kept?.version === document.version) return kept
    const text = document.getText(), made = { version: document.version, text, lineStarts: lineStartsOf(text) }
    this.#kept.set(document.uri, made)
    return made
  }
}

export function rangeOfPlace({ line, from, to }: Place): Range {
  return { start: { line, character: from }, end: { line, character: to } }
}
