import type { Edit } from '../../../shared/finding.ts'
import type { Toolpath } from '../../../shared/toolpath.ts'
import type { BlockRun, BlockRuns } from './block-runs.ts'
import { lineEnd, withoutWords, wordEdits, wordOf, type FreeNumbers, type NewWord, type WordChange } from './block-text.ts'
import type { NumberStyle } from './number-style.ts'
import { sameValue, type ProgramFrames } from './program-frames.ts'

/** What a motion of the program is to become. */
export interface WantedMotion {
  /** Where it is parted: share of the motion and the joints there, in order. */
  readonly parts: readonly { readonly time: number, readonly joints: Float64Array }[]
  /** Joints at its end; undefined: as they were. */
  readonly end: Float64Array | undefined
  /** It is left out. */
  readonly dropped?: boolean
  /** Feed in the program's own unit; undefined: as it was. */
  readonly feed?: number
}

/** What was changed in one line. */
export interface BlockChange {
  /** 0-based. */
  readonly line: number
  readonly sequence: number
  readonly edits: readonly Edit[]
  readonly words: readonly WordChange[]
  /** Blocks put in before it. */
  readonly inserted: readonly string[]
  /** Motions it was made for. */
  readonly motion: number
}

export type WriteAnswer = { readonly changes: readonly BlockChange[] } | { readonly why: string, readonly motion: number }

interface Written { readonly edits: readonly Edit[], readonly words: readonly WordChange[], readonly inserted: readonly string[] }

/**
 * Writes changed motions into the program: only the words that must change, and those of the blocks behind that they
 * could leave out as long as nothing had changed. Follows the position block by block as the control will, rounding included.
 */
export class BlockWriter {
  readonly #text: string
  readonly #runs: BlockRuns
  readonly #frames: ProgramFrames
  readonly #style: NumberStyle
  readonly #numbers: FreeNumbers
  readonly #toolpath: Toolpath
  readonly #isSeconds: boolean

  constructor(text: string, runs: BlockRuns, frames: ProgramFrames, style: NumberStyle, numbers: FreeNumbers, toolpath: Toolpath, inverseTime: 'per-minute' | 'seconds') {
    this.#text = text
    this.#runs = runs
    this.#frames = frames
    this.#style = style
    this.#numbers = numbers
    this.#toolpath = toolpath
    this.#isSeconds = inverseTime === 'seconds'
  }

  write(wanted: ReadonlyMap<number, WantedMotion>): WriteAnswer {
    const byLine = new Map<number, { change: BlockChange, times: number, text: string }>()
    let now: Float64Array | undefined, feed: number | undefined, reached = -1
    for (const run of this.#runs.runs) {
      const touches = motionsOf(run).some(motion => wanted.has(motion))
      // Blocks that were not kept lie between two stretches, which begin and end in step.
      if (run.firstMotion !== reached) {
        const why = now === undefined && feed === undefined ? undefined : this.#whyNotFrom(reached)
        if (why !== undefined) return { why, motion: Math.max(0, reached - 1) }
        now = feed = undefined
      }
      reached = run.endMotion
      if (now === undefined && feed === undefined && !touches) continue
      const start = this.#row(run.firstMotion)
      now ??= Float64Array.from(start)
      const written = this.#block(run, now, feed, wanted)
      if ('why' in written) return { why: written.why, motion: run.firstMotion }
      now = isSame(written.now, this.#row(run.endMotion)) ? undefined : written.now
      feed = written.feed === run.after.feed ? undefined : written.feed
      if (written.edits.length > 0) {
        const text = JSON.stringify(written.edits), known = byLine.get(run.line)
        if (known !== undefined && known.text !== text) return { why: disagree(run), motion: run.firstMotion }
        if (known !== undefined) known.times++
        else byLine.set(run.line, { change: { line: run.line, sequence: run.sequence, edits: written.edits, words: written.words, inserted: written.inserted, motion: run.firstMotion }, times: 1, text })
      }
    }
    for (const [line, { change, times }] of byLine) {
      if ((this.#runs.timesRun.get(line) ?? 1) !== times) {
        const run = this.#runs.of(change.motion)
        return { why: run === undefined ? 'its block runs several times' : disagree(run), motion: change.motion }
      }
    }
    return { changes: [...byLine.values()].map(({ change }) => change) }
  }

  /** Why what a motion begins with must not change; its blocks cannot be given the words that would bring it back. */
  #whyNotFrom(motion: number): string | undefined {
    return (this.#toolpath.ownLine?.[motion] ?? -1) < 0 ? undefined : 'a file that is called goes on from where this block ends'
  }

  #row(motion: number): Float64Array {
    const { width } = this.#frames
    return this.#toolpath.joints.subarray(motion * width, (motion + 1) * width)
  }

  /** One run of one block: what is written, and where the machine and the feed then stand. */
  #block(run: BlockRun, from: Float64Array, feedNow: number | undefined, wanted: ReadonlyMap<number, WantedMotion>): Written & { now: Float64Array, feed: number | undefined } | { why: string } {
    const frames = this.#frames, { after } = run
    const name = run.sequence >= 0 ? `N${run.sequence}` : `line ${run.line + 1}`
    const own = run.endMotion > run.firstMotion ? wanted.get(run.endMotion - 1) : undefined
    const asksMotion = run.words.some(({ letter }) => frames.letters.includes(letter)) || frames.hasVector(run)
    if (!asksMotion) {
      const kept = wordOf(run, 'F') === undefined ? feedNow : after.feed
      return { edits: [], words: [], inserted: [], now: from, feed: kept }
    }
    if (run.unwritable !== undefined) {
      const start = this.#row(run.firstMotion), end = this.#row(run.endMotion)
      // In machine coordinates or home an axis goes where it is told; those that are not named stay where they are.
      if (isSame(from, start) || after.motion === 0 && run.goesByJoints) {
        return { edits: [], words: [], inserted: [], now: end.map((value, j) => Math.abs(value - (start[j] ?? 0)) < sameValue ? from[j] ?? 0 : value), feed: feedNow }
      }
      return { why: `${name} would have to be changed as well, and ${run.unwritable}` }
    }
    if (own?.dropped === true) {
      const taken = withoutWords(run, `${frames.letters.join('')}IJK`, this.#text)
      return { edits: taken.edits, words: taken.changes, inserted: [], now: from, feed: feedNow }
    }
    const target = own?.end ?? this.#row(run.endMotion), parts = own?.parts ?? []
    if (parts.length > 0 && !run.canPart) return { why: `${name} would have to be parted, and holds more than a straight motion` }
    let at = from, inserted: string[] = [], time = 0
    const numbers = this.#numbers.between(this.#sequenceBefore(run), run.sequence, parts.length)
    for (const [i, part] of parts.entries()) {
      const piece = this.#words(run, at, part.joints, true)
      // With the program's decimals it is where the one before it is.
      if (piece.words.length === 0) continue
      const isFirst = inserted.length === 0
      const feedWords = this.#feedWords(run, own?.feed, isFirst ? feedNow : undefined, part.time - time, isFirst, true)
      inserted.push(this.#line(run, [...piece.words, ...feedWords], numbers?.[i], isFirst))
      at = piece.reached
      time = part.time
    }
    const last = this.#words(run, at, target, false)
    const feedWords = this.#feedWords(run, own?.feed, inserted.length > 0 ? undefined : feedNow, 1 - time, inserted.length === 0, false)
    const { edits, changes } = wordEdits(run, [...last.words, ...feedWords], this.#style, this.#text)
    const put = inserted.map(text => text + (lineEnd(this.#text, run.end) || '\n')).join('')
    const feed = after.motion === 0 && wordOf(run, 'F') === undefined ? feedNow : own?.feed ?? after.feed
    const all: Edit[] = put === '' ? edits : [{ span: { start: run.start, end: run.start }, text: put }, ...edits]
    inserted = inserted.map(text => text.trim())
    return { edits: all, words: changes, inserted, now: last.reached, feed }
  }

  /** The axis words that lead from one place to another in this block, or in one put in before it, and the place they really reach. */
  #words(run: BlockRun, from: Float64Array, to: Float64Array, isInserted: boolean): { words: NewWord[], reached: Float64Array } {
    const frames = this.#frames, { after } = run, words: NewWord[] = []
    const now = frames.programmed(from, after), target = frames.programmed(to, after)
    const original = frames.programmed(this.#row(run.endMotion), after), began = frames.programmed(this.#row(run.firstMotion), after)
    const isIncremental = after.distance === 91, asVector = frames.hasVector(run)
    const reached = Float64Array.from(now)
    let turns = false
    for (let j = 0; j < frames.width; j++) {
      const letter = frames.letters[j] ?? '', unit = frames.unitOf(j, after)
      const goal = target[j] ?? 0, here = now[j] ?? 0, way = goal - here
      if (asVector && frames.isRotary(j)) {
        turns ||= Math.abs(goal - (isInserted ? here : original[j] ?? 0)) > sameValue
        reached[j] = goal
        continue
      }
      const known = isInserted ? undefined : wordOf(run, letter)
      // A rapid leaves alone what it did not move and need not: a retract goes straight, and the next block that cuts says where.
      const isIdle = after.motion === 0 && Math.abs((original[j] ?? 0) - (began[j] ?? 0)) < sameValue && Math.abs(goal - (original[j] ?? 0)) < sameValue
      const stays = known === undefined ? isIdle || Math.abs(way) < sameValue
        : isIncremental ? Math.abs(known.value * unit - way) < sameValue : Math.abs(goal - (original[j] ?? 0)) < sameValue
      if (stays) {
        if (known !== undefined) reached[j] = goal
        continue
      }
      const text = this.#style.word(letter, (isIncremental ? way : goal) / unit), value = this.#valueOf(text, letter) * unit
      words.push({ letter, text })
      reached[j] = isIncremental ? here + value : value
    }
    if (turns) {
      const axis = frames.vector(to, after)
      for (const [n, letter] of ['I', 'J', 'K'].entries()) words.push({ letter, text: this.#style.word(letter, axis[n] ?? 0) })
    }
    return { words, reached: frames.joints(reached, after) }
  }

  /** Number of a word that the style has made, in the program's unit. */
  #valueOf(text: string, letter: string): number {
    const written = text.slice(1).trim(), value = Number(written)
    return written.includes('.') ? value : value * this.#style.wholeOf(letter)
  }

  /** F of a piece: `share` of its motion in inverse time; elsewhere where the feed in force is not the one wanted. */
  #feedWords(run: BlockRun, wanted: number | undefined, feedNow: number | undefined, share: number, isFirst: boolean, isInserted: boolean): NewWord[] {
    const known = wordOf(run, 'F'), own = run.after.feed
    if (own === undefined) return []
    const feed = wanted ?? own
    if (run.after.feedMode === 93) {
      const value = this.#isSeconds ? feed * share : feed / share
      return share === 1 && wanted === undefined && !isInserted ? [] : [{ letter: 'F', text: this.#style.word('F', value) }]
    }
    if (run.after.motion === 0) return []
    const inForce = feedNow ?? run.before.feed
    if (isInserted && isFirst && known !== undefined && wanted === undefined) return [{ letter: 'F', text: this.#text.slice(known.span.start, known.span.end) }]
    if (!isFirst || (wanted === undefined && (known !== undefined || inForce === feed))) return []
    return inForce === feed && known === undefined ? [] : [{ letter: 'F', text: this.#style.word('F', feed) }]
  }

  /** A whole block put in before the run's own. */
  #line(run: BlockRun, words: readonly NewWord[], number: number | undefined, isFirst: boolean): string {
    const text = this.#text, between = this.#style.between
    const lead = /^[ \t]*(?:\/\d?[ \t]*)?/.exec(text.slice(run.start, run.end))?.[0] ?? ''
    const codes = isFirst ? run.words.filter(({ letter }) => letter === 'G').map(({ span }) => text.slice(span.start, span.end)) : []
    const own = /N[ \t]*0*\d+/i.exec(text.slice(run.start, run.end))?.[0] ?? ''
    const digits = own.replace(/\D/g, '').length, padded = /N[ \t]*0\d/i.test(own)
    const sequence = number === undefined ? [] : [`N${padded ? String(number).padStart(digits, '0') : number}`]
    return lead + [...sequence, ...codes, ...words.map(word => word.text)].join(between)
  }

  #sequenceBefore(run: BlockRun): number {
    return this.#runs.runs.slice(Math.max(0, run.index - 4), run.index).findLast(each => each.sequence >= 0)?.sequence ?? -1
  }
}

function motionsOf(run: BlockRun): number[] {
  return Array.from({ length: run.endMotion - run.firstMotion }, (_, i) => run.firstMotion + i)
}

function isSame(a: Float64Array, b: Float64Array): boolean {
  return a.every((value, j) => Math.abs(value - (b[j] ?? Number.NaN)) < sameValue)
}

function disagree(run: BlockRun): string {
  return `${run.sequence >= 0 ? `N${run.sequence}` : `line ${run.line + 1}`} runs several times, and its runs do not all ask for the same correction`
}
