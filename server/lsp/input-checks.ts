import { checkMachine, checkSheet, type CheckedInput } from '../edge/check-inputs.ts'
import type { InputOptions } from '../edge/read-inputs.ts'
import { toDiagnostics, withLevels } from './convert.ts'
import type { DiagnosticsBoard } from './diagnostics-board.ts'
import { uriOf } from './document-path.ts'
import { guardNews, type Log } from './guard.ts'
import { TextDocument } from './protocol.ts'
import type { SettingsStore } from './settings.ts'

/** What the checks of a sheet or machine file need of the server around them. */
export interface InputSurroundings {
  readonly settings: SettingsStore
  readonly board: DiagnosticsBoard
  /** How files are read. */
  readonly files: InputOptions
  readonly log: Log
}

/** Setup sheets and machine files are known by their names. */
export function isInputUri(uri: string): boolean {
  return /\.(?:setup|machine)\.json$/i.test(uri)
}

export function isSheetUri(uri: string): boolean {
  return isInputUri(uri) && !/\.machine\.json$/i.test(uri)
}

/**
 * Keeps up to date what is wrong with one open sheet or machine file, so that whoever fills it in is told at once,
 * whether or not a program is open that uses it. What such a program has to say about the file stands beside it; the same is shown once.
 */
export class InputChecks {
  readonly #document: TextDocument
  readonly #path: string
  readonly #around: InputSurroundings
  /** Its address as findings of programs name it: an editor may write the same address in other letters. */
  readonly #uri: string
  #turn = 0
  #checked: CheckedInput | undefined

  constructor(document: TextDocument, path: string, around: InputSurroundings) {
    this.#document = document
    this.#path = path
    this.#around = around
    this.#uri = uriOf(path)
  }

  /** It, or something it depends on, is another now. What was begun before never gets to speak. */
  checkAgain(): void {
    const turn = ++this.#turn
    guardNews('Checking a sheet or machine file', this.#around.log, () => this.#check(turn))()
  }

  /** Other files are not what they were: it is checked again if it names one of them. */
  filesChanged(paths: readonly string[]): void {
    if (this.#checked === undefined || paths.some(path => path === this.#path || this.#checked?.paths.has(path) === true)) this.checkAgain()
  }

  close(): void {
    this.#turn++
    this.#around.board.clear(this.#uri)
  }

  async #check(turn: number): Promise<void> {
    const { uri, version } = this.#document, text = this.#document.getText(), { settings, board, files } = this.#around
    const { rules } = await settings.of(uri)
    if (turn !== this.#turn) return
    const checked = await (isSheetUri(uri) ? checkSheet : checkMachine)(this.#path, files)
    if (turn !== this.#turn) return
    this.#checked = checked
    board.post(this.#uri, version, toDiagnostics(withLevels(checked.findings, rules), {
      programUri: this.#uri, program: TextDocument.create(this.#uri, 'jsonc', version, text), textOf: path => checked.texts.get(path),
    }))
  }
}
