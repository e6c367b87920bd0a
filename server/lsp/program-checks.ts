import { neverCancelled } from '../../shared/cancellation.ts'
import { sentenceOf } from '../../shared/protocol/channel.ts'
import type { Status } from '../../shared/protocol/server-messages.ts'
import { CalledPrograms } from '../edge/called-programs.ts'
import { lostStock } from '../edge/lost-findings.ts'
import { runStepwise } from '../edge/run-stepwise.ts'
import { choiceFindings } from '../edge/setup-choice.ts'
import { meshFindings, mostMotionsPerPiece, readStepwise, stockFindings, type PartMesh } from '../engine/service.ts'
import { toDiagnostics } from './convert.ts'
import type { DiagnosticsBoard } from './diagnostics-board.ts'
import { pathOf } from './document-path.ts'
import { guardNews, type Log } from './guard.ts'
import type { LoadedScene } from './loaded-scene.ts'
import type { TextDocument } from './protocol.ts'
import { readDocument } from './read-document.ts'
import { Reading } from './reading.ts'
import type { SceneStore } from './scene-store.ts'
import type { SettingsStore } from './settings.ts'
import { blocksText, countText, spareWords } from './status-words.ts'
import { Stream } from './stream.ts'

/** Edits that follow each other this closely are gathered before the program is read, ms. */
const GATHER = 30

/** Findings of a running search are sent anew at most this often, ms. */
const PAUSE = 150

const nextTurn = () => new Promise<void>(resolve => setImmediate(resolve))

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
 * Keeps what is known of one open program up to date. Each edit raises the turn; whatever was begun
 * for an earlier turn sees that it is stale, ends, and never gets to speak.
 */
export class ProgramChecks {
  /** Version of the document when it was opened. */
  readonly openedAt: number
  readonly #document: TextDocument
  readonly #around: Surroundings
  #turn = 0
  #changedAt = -Infinity
  #timer: NodeJS.Timeout | undefined
  /** Those who wait for the text as it stands now to be read, while edits are still gathered. */
  #waiting: (() => void)[] = []
  #reading: Promise<Reading | undefined> = Promise.resolve(undefined)
  /**
   * The last reading that was searched to its end and the last whose search was begun: what they
   * found of unchanged motions is still true. Two, because half a word typed near the head can
   * change every motion, and the other half change them back.
   */
  #searched: Reading | undefined
  #begun: Reading | undefined
  /** The last reading of which was measured what is left: an edit measures only what it changes. */
  #measured: Reading | undefined
  /** The text stands as it was opened or last saved. */
  #saved = true
  #closed = false
  #lookedAt = 0
  /** Ends the search of the turn before at once. */
  #search = new AbortController()
  /** The last reading, of whatever text. */
  #last: Reading | undefined
  /** Where the last reading found the programs it calls. */
  #called: CalledPrograms | undefined
  #scene: LoadedScene | undefined

  constructor(document: TextDocument, around: Surroundings) {
    this.openedAt = document.version
    this.#document = document
    this.#around = around
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
    this.#turn++
    this.#search.abort()
    this.#search = new AbortController()
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
        await nextTurn()
        if (read !== undefined && turn === this.#turn) await Promise.all([this.#searchContact(turn, read), this.#followStock(turn, read)])
      } catch (error) {
        // Of a text that is no more nobody wants to hear.
        if (turn !== this.#turn) return
        this.#tell('failed', 0, 0, `not checked to the end, a fault of ours: ${sentenceOf(error)}`)
        if (read !== undefined) {
          read.failure = sentenceOf(error)
          this.#publish(turn, read)
        }
        throw error
      }
    })()
  }

  async #read(turn: number): Promise<Reading | undefined> {
    const { uri } = this.#document
    const path = pathOf(uri)
    const settings = await this.#around.settings.of(uri)
    const choice = path === undefined ? {} : this.#around.scenes.choose(path, settings)
    const scene = await this.#around.scenes.open(uri, choice.setupPath, settings)
    this.#scene = scene
    if (turn !== this.#turn) return undefined
    const { version, languageId } = this.#document
    const text = this.#document.getText()
    const called = path === undefined ? undefined : new CalledPrograms(path, scene.sheetPath, this.#around.openText)
    this.#called = called
    // In slices: what is asked of a long program is answered while it is read, and an edit leaves off reading what was there before.
    const program = await runStepwise(
      readStepwise({ path: path ?? uri, text }, scene.scene, { programs: called?.find, earlier: this.#last?.program }),
      { cancelled: () => turn !== this.#turn },
      share => this.#tell('reading', 0, 0, `reading the program, ${Math.floor(100 * share)} %`))
    if (program === undefined) return undefined
    const reading = new Reading(readDocument(uri, languageId, version, program), program, called, scene, settings, path === undefined ? [] : choiceFindings(path, choice))
    this.#last = reading
    reading.notSearched = this.#spared(reading)
    this.#publish(turn, reading)
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

  async #searchContact(turn: number, reading: Reading): Promise<void> {
    const blocks = reading.program.blockCount
    if (reading.notSearched === undefined) {
      this.#tell('searching', 0, blocks, 'reading the part\'s mesh')
      const contact = await reading.scene.contact()
      if (turn !== this.#turn) return
      reading.meshFindings = contact.findings
      if (contact.mesh === undefined) reading.notSearched = spareWords.noMesh
      this.#publish(turn, reading)
      if (contact.mesh !== undefined) {
        await this.#checkPart(turn, reading, contact.mesh)
        return
      }
    }
    this.#tell('done', 0, blocks, `${blocksText(blocks)} read, contact not searched: ${reading.notSearched}`)
  }

  /** Runs the program through the stock of its sheet, beside the search: a fault of the one does not end the other. */
  async #followStock(turn: number, reading: Reading): Promise<void> {
    const { program, scene, notSearched } = reading
    if (scene.scene.setup?.stock === undefined || !scene.scene.usable || notSearched === spareWords.off || notSearched === spareWords.untilSaved) return
    const { signal } = this.#search, cancellation = { cancelled: () => signal.aborted }
    reading.stockPending = true
    try {
      const stock = await scene.stock()
      if (stock === undefined || signal.aborted) return
      // What is filled serves every text of the program: no edit breaks it off.
      const opened = await stock.thread.open(neverCancelled)
      const figures = await stock.thread.run(program, scene.scene, cancellation)
      if (turn !== this.#turn) return
      reading.stock = figures
      reading.stockFindings = [...stock.findings, ...opened.findings, ...figures === undefined ? [] : stockFindings(program, scene.scene, figures)]
      // Stock that cannot be used is no longer waited for.
      reading.stockPending = figures === undefined && opened.isUsable
    } catch (error) {
      if (turn !== this.#turn) return
      this.#around.log(`The stock was not followed: ${sentenceOf(error)}`)
      reading.stockFindings = [lostStock(error)]
      reading.stockLost = true
    }
    this.#publish(turn, reading)
  }

  async #checkPart(turn: number, reading: Reading, mesh: PartMesh): Promise<void> {
    const blocks = reading.program.blockCount
    await Promise.all([this.#stream(turn, reading), this.#holdAgainst(turn, reading, mesh)])
    if (turn !== this.#turn) return
    this.#tell('done', blocks, blocks, `checked: ${blocksText(blocks)}, figures ± ${Number((reading.settings.epsilon / 2).toPrecision(6))} mm`)
    await this.#measure(turn, reading, mesh)
  }

  async #stream(turn: number, reading: Reading): Promise<void> {
    const { program, scene, settings, figures } = reading
    const blocks = program.blockCount
    const show = () => {
      if (turn !== this.#turn) return
      reading.wordContact()
      this.#publish(turn, reading)
    }
    const stream = new Stream(PAUSE, () => {
      show()
      const done = Math.floor(blocks * figures.done / Math.max(1, figures.count))
      this.#tell('searching', done, blocks, `${countText(done)} of ${blocksText(blocks)} searched for contact`)
    })
    if (this.#searched !== undefined) reading.inherit(this.#searched)
    // What the last whole search found is kept already.
    const fresh = figures.gaps()
    if (this.#begun !== undefined && this.#begun !== this.#searched) reading.inherit(this.#begun)
    this.#begun = reading
    if (figures.done > 0) show()
    try {
      const around = Math.max(0, program.toolpath.line.findIndex(line => line >= this.#lookedAt))
      reading.lost = await scene.search(program, { runs: figures.gaps(), around, settings, signal: this.#search.signal }, run => {
        if (turn !== this.#turn) return
        reading.add(run)
        stream.wake()
      })
    } finally {
      stream.stop()
    }
    if (turn !== this.#turn) return
    reading.complete = figures.done === figures.count
    if (reading.complete) {
      this.#searched = reading
      guardNews('Keeping figures for the next time', this.#around.log, () => scene.keep(program, settings, figures.around(fresh, mostMotionsPerPiece)))()
    }
    show()
  }

  /** Holds mesh and program against each other, while threads search. */
  async #holdAgainst(turn: number, reading: Reading, mesh: PartMesh): Promise<void> {
    const findings = await runStepwise(meshFindings(reading.program, reading.scene.scene, mesh), { cancelled: () => turn !== this.#turn })
    if (findings === undefined || turn !== this.#turn) return
    reading.meshAgainstProgram = findings
    if (findings.length > 0) this.#publish(turn, reading)
  }

  /** What is left on the part, once contact is told to its end: nobody waits for it, so it makes no noise. */
  async #measure(turn: number, reading: Reading, mesh: PartMesh): Promise<void> {
    try {
      reading.measured = await reading.scene.measure(reading.program, mesh, {
        cancellation: { cancelled: () => turn !== this.#turn },
        earlier: reading.measuredBefore(this.#measured),
      })
      if (reading.measured === undefined) return
      this.#measured = reading
    } catch (error) {
      if (turn !== this.#turn) return
      reading.unmeasured = sentenceOf(error)
      this.#around.log(`What is left on the part was not measured: ${reading.unmeasured}`)
    }
    this.#publish(turn, reading)
  }

  /** Sends all that is known, but only while it is about the text as it stands. */
  #publish(turn: number, reading: Reading): void {
    if (turn !== this.#turn || reading.version !== this.#document.version) return
    const { uri } = this.#document
    this.#around.board.post(uri, reading.version, toDiagnostics(reading.findings(), {
      programUri: uri, program: reading.document, textOf: reading.textOf,
    }))
    this.#around.tellScene(uri)
  }

  #tell(phase: Status['phase'], done: number, total: number, message: string): void {
    this.#around.tellStatus({ uri: this.#document.uri, phase, done, total, message, sheet: this.#scene?.sheetPath })
  }
}
