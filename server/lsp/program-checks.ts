import { sentenceOf } from '../../shared/protocol/channel.ts'
import type { Status } from '../../shared/protocol/server-messages.ts'
import { CalledPrograms } from '../edge/called-programs.ts'
import { runStepwise } from '../edge/run-stepwise.ts'
import { choiceFindings } from '../edge/setup-choice.ts'
import { readStepwise } from '../engine/service.ts'
import { ContactCheck } from './contact-check.ts'
import { toDiagnostics } from './convert.ts'
import type { DiagnosticsBoard } from './diagnostics-board.ts'
import { pathOf } from './document-path.ts'
import { followStock } from './follow-stock.ts'
import { guardNews, type Log } from './guard.ts'
import type { LoadedScene } from './loaded-scene.ts'
import type { TextDocument } from './protocol.ts'
import { readDocument } from './read-document.ts'
import { Reading } from './reading.ts'
import type { SceneStore } from './scene-store.ts'
import type { SettingsStore } from './settings.ts'
import { spareWords } from './status-words.ts'
import type { Turn } from './turn.ts'

/** Edits that follow each other this closely are gathered before the program is read, ms. */
const GATHER = 30

const afterOthers = () => new Promise<void>(resolve => setImmediate(resolve))

/** What the checks of a program need of the server around them. */
export interface Surroundings {
  readonly settings: SettingsStore
  readonly scenes: SceneStore
  readonly board: DiagnosticsBoard
  /** A file as the editor holds it, saved or not. */
  readonly openText: (path: string) => string | undefined
  readonly tellStatus: (status: Status) => void
  readonly tellScene: (uri: string) => void
  readonly log: Log
}

/**
 * Keeps what is known of one open program up to date. Each edit begins a turn; whatever was begun
 * for an earlier turn sees that it is stale, ends, and never gets to speak.
 */
export class ProgramChecks {
  /** Version of the document when it was opened. */
  readonly openedAt: number
  readonly #document: TextDocument
  readonly #around: Surroundings
  #turn: Turn
  #changedAt = -Infinity
  #timer: NodeJS.Timeout | undefined
  /** Those who wait for the text as it stands now to be read, while edits are still gathered. */
  #waiting: (() => void)[] = []
  #reading: Promise<Reading | undefined> = Promise.resolve(undefined)
  readonly #contact: ContactCheck
  /** The text stands as it was opened or last saved. */
  #saved = true
  #closed = false
  #lookedAt = 0
  /** Makes the turn stale. */
  #ends = new AbortController()
  /** The last reading, of whatever text. */
  #last: Reading | undefined
  /** Where the last reading found the programs it calls. */
  #called: CalledPrograms | undefined
  #scene: LoadedScene | undefined

  constructor(document: TextDocument, around: Surroundings) {
    this.openedAt = document.version
    this.#document = document
    this.#around = around
    this.#contact = new ContactCheck(around.log)
    this.#turn = this.#newTurn()
  }

  /** The sheet and machine that were last read for the program, and where it was found to call others. */
  get scene(): LoadedScene | undefined {
    return this.#scene
  }

  get called(): CalledPrograms | undefined {
    return this.#called
  }

  /** Where the user looks: the search begins there. 0-based line. */
  lookAt(line: number): void {
    this.#lookedAt = line
  }

  /** The text has been edited. */
  edited(): void {
    this.#saved = false
    this.checkAgain()
  }

  /** Something it depends on is another now. What is lone is done at once, a flurry when it pauses. */
  checkAgain(): void {
    if (this.#closed) return
    this.#beginTurn()
    const now = performance.now()
    const wait = now - this.#changedAt < 4 * GATHER ? GATHER : 0
    this.#changedAt = now
    clearTimeout(this.#timer)
    this.#timer = setTimeout(() => this.#begin(), wait)
  }

  /** Other files are not what they were: it is checked again if it calls one of them. */
  filesChanged(paths: readonly string[]): void {
    if (paths.some(path => this.#called?.concerns(path) === true)) this.checkAgain()
  }

  saved(): void {
    this.#saved = true
    guardNews('Searching a saved program', this.#around.log, async () => {
      const reading = await this.current()
      if (reading?.notSearched === spareWords.untilSaved) this.checkAgain()
    })()
  }

  close(): void {
    this.#closed = true
    this.#beginTurn()
    this.#stopWaiting()
    this.#around.board.clear(this.#document.uri)
  }

  /** The reading of the text as it stands now; waits for it. Undefined when it failed or the program was closed. */
  async current(): Promise<Reading | undefined> {
    while (!this.#closed) {
      if (this.#timer !== undefined) await new Promise<void>(resolve => this.#waiting.push(resolve))
      const turn = this.#turn
      const reading = await this.#reading
      if (turn === this.#turn) return reading
    }
    return undefined
  }

  #beginTurn(): void {
    this.#ends.abort()
    this.#ends = new AbortController()
    this.#turn = this.#newTurn()
  }

  #newTurn(): Turn {
    const { signal } = this.#ends
    return {
      signal,
      isStale: () => signal.aborted,
      publish: reading => { if (!signal.aborted) this.#publish(reading) },
      tell: (phase, done, total, message) => {
        if (!signal.aborted) this.#around.tellStatus({ uri: this.#document.uri, phase, done, total, message, sheet: this.#scene?.sheetPath })
      },
      lookedAt: () => this.#lookedAt,
    }
  }

  #stopWaiting(): void {
    clearTimeout(this.#timer)
    this.#timer = undefined
    for (const goOn of this.#waiting.splice(0)) goOn()
  }

  #begin(): void {
    const turn = this.#turn
    const reading = this.#read(turn)
    this.#reading = reading.catch(() => undefined)
    this.#stopWaiting()
    guardNews('Checking a program', this.#around.log, async () => {
      let read: Reading | undefined
      try {
        read = await reading
        // What the text has shown is on its way before anything else is begun.
        await afterOthers()
        if (read !== undefined && !turn.isStale()) await Promise.all([this.#contact.run(turn, read), followStock(turn, read, this.#around.log)])
      } catch (error) {
        // Of a text that is no more nobody wants to hear.
        if (turn.isStale()) return
        turn.tell('failed', 0, 0, `not checked to the end, a fault of ours: ${sentenceOf(error)}`)
        if (read !== undefined) {
          read.failure = sentenceOf(error)
          turn.publish(read)
        }
        throw error
      }
    })()
  }

  async #read(turn: Turn): Promise<Reading | undefined> {
    const { uri } = this.#document
    const path = pathOf(uri)
    const settings = await this.#around.settings.of(uri)
    const choice = path === undefined ? {} : this.#around.scenes.choose(path, settings)
    const scene = await this.#around.scenes.open(uri, choice.setupPath, settings)
    this.#scene = scene
    if (turn.isStale()) return undefined
    const { version, languageId } = this.#document
    const text = this.#document.getText()
    const called = path === undefined ? undefined : new CalledPrograms(path, scene.sheetPath, this.#around.openText)
    this.#called = called
    // In slices: what is asked of a long program is answered while it is read, and an edit leaves off reading what was there before.
    const program = await runStepwise(
      readStepwise({ path: path ?? uri, text }, scene.scene, { programs: called?.find, earlier: this.#last?.program }),
      { cancelled: turn.isStale },
      share => turn.tell('reading', 0, 0, `reading the program, ${Math.floor(100 * share)} %`))
    if (program === undefined) return undefined
    const reading = new Reading(readDocument(uri, languageId, version, program), program, called, scene, settings, path === undefined ? [] : choiceFindings(path, choice))
    this.#last = reading
    reading.notSearched = this.#spared(reading)
    turn.publish(reading)
    return reading
  }

  /** Why this reading is not searched for contact; undefined when it is. */
  #spared({ scene: { scene, sheetPath }, settings }: Reading): string | undefined {
    if (sheetPath === undefined) return spareWords.noSheet
    if (!scene.usable || scene.setup === undefined) return spareWords.unusable
    if (scene.setup.part === undefined) return spareWords.noPart
    if (settings.search === 'off') return spareWords.off
    return settings.search === 'on-save' && !this.#saved ? spareWords.untilSaved : undefined
  }

  /** Sends all that is known, but only while it is about the text as it stands. */
  #publish(reading: Reading): void {
    if (reading.version !== this.#document.version) return
    const { uri } = this.#document
    this.#around.board.post(uri, reading.version, toDiagnostics(reading.findings(), {
      programUri: uri, program: reading.document, textOf: reading.textOf,
    }))
    this.#around.tellScene(uri)
  }
}
