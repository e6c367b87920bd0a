import { sentenceOf } from '../../shared/protocol/channel.ts'
import { runStepwise } from '../edge/run-stepwise.ts'
import { meshFindings, mostMotionsPerPiece, type PartMesh } from '../engine/service.ts'
import { guardNews, type Log } from './guard.ts'
import type { Reading } from './reading.ts'
import { blocksText, countText, spareWords } from './status-words.ts'
import { Stream } from './stream.ts'
import type { Turn } from './turn.ts'

/** Findings of a running search are sent anew at most this often, ms. */
const PAUSE = 150

/** Searches the readings of one program for contact with the part, then measures what they leave of it; an edit searches only what it changes. */
export class ContactCheck {
  readonly #log: Log
  /**
   * The last reading that was searched to its end and the last whose search was begun: what they
   * found of unchanged motions is still true. Two, because half a word typed near the head can
   * change every motion, and the other half change them back.
   */
  #searched: Reading | undefined
  #begun: Reading | undefined
  /** The last reading of which was measured what is left: an edit measures only what it changes. */
  #measured: Reading | undefined

  constructor(log: Log) {
    this.#log = log
  }

  async run(turn: Turn, reading: Reading): Promise<void> {
    const blocks = reading.program.blockCount
    if (reading.notSearched === undefined) {
      turn.tell('searching', 0, blocks, 'reading the part\'s mesh')
      const contact = await reading.scene.contact()
      if (turn.isStale()) return
      reading.meshFindings = contact.findings
      if (contact.mesh === undefined) reading.notSearched = spareWords.noMesh
      turn.publish(reading)
      if (contact.mesh !== undefined) return this.#checkPart(turn, reading, contact.mesh)
    }
    turn.tell('done', 0, blocks, `${blocksText(blocks)} read, contact not searched: ${reading.notSearched}`)
  }

  async #checkPart(turn: Turn, reading: Reading, mesh: PartMesh): Promise<void> {
    const blocks = reading.program.blockCount
    await Promise.all([this.#search(turn, reading), holdAgainst(turn, reading, mesh)])
    turn.tell('done', blocks, blocks, `checked: ${blocksText(blocks)}, figures ± ${Number((reading.settings.epsilon / 2).toPrecision(6))} mm`)
    if (!turn.isStale()) await this.#measure(turn, reading, mesh)
  }

  async #search(turn: Turn, reading: Reading): Promise<void> {
    const { program, scene, settings, figures } = reading
    const blocks = program.blockCount
    const show = () => {
      if (turn.isStale()) return
      reading.wordContact()
      turn.publish(reading)
    }
    const stream = new Stream(PAUSE, () => {
      show()
      const done = Math.floor(blocks * figures.done / Math.max(1, figures.count))
      turn.tell('searching', done, blocks, `${countText(done)} of ${blocksText(blocks)} searched for contact`)
    })
    if (this.#searched !== undefined) reading.inherit(this.#searched)
    // What the last whole search found is kept already.
    const fresh = figures.gaps()
    if (this.#begun !== undefined && this.#begun !== this.#searched) reading.inherit(this.#begun)
    this.#begun = reading
    if (figures.done > 0) show()
    try {
      const around = Math.max(0, program.toolpath.line.findIndex(line => line >= turn.lookedAt()))
      reading.lost = await scene.search(program, { runs: figures.gaps(), around, settings, signal: turn.signal }, run => {
        if (turn.isStale()) return
        reading.add(run)
        stream.wake()
      })
    } finally {
      stream.stop()
    }
    if (turn.isStale()) return
    reading.complete = figures.done === figures.count
    if (reading.complete) {
      this.#searched = reading
      guardNews('Keeping figures for the next time', this.#log, () => scene.keep(program, settings, figures.around(fresh, mostMotionsPerPiece)))()
    }
    show()
  }

  /** What is left on the part, once contact is told to its end: nobody waits for it, so it makes no noise. */
  async #measure(turn: Turn, reading: Reading, mesh: PartMesh): Promise<void> {
    try {
      reading.measured = await reading.scene.measure(reading.program, mesh, { cancellation: { cancelled: turn.isStale }, earlier: reading.measuredBefore(this.#measured) })
      if (reading.measured === undefined) return
      this.#measured = reading
    } catch (error) {
      if (turn.isStale()) return
      reading.unmeasured = sentenceOf(error)
      this.#log(`What is left on the part was not measured: ${reading.unmeasured}`)
    }
    turn.publish(reading)
  }
}

/** Holds mesh and program against each other, while threads search. */
async function holdAgainst(turn: Turn, reading: Reading, mesh: PartMesh): Promise<void> {
  const findings = await runStepwise(meshFindings(reading.program, reading.scene.scene, mesh), { cancelled: turn.isStale })
  if (findings === undefined || turn.isStale()) return
  reading.meshAgainstProgram = findings
  if (findings.length > 0) turn.publish(reading)
}
