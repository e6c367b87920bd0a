import type { ComparedPath } from './compared-path.ts'
import type { MatchedPart } from './matching.ts'
import { isRapid, isUnknown } from './motion-keys.ts'
import type { MotionState } from './motion-states.ts'

export type StateKind = 'tool' | 'length-offset' | 'work-offset' | 'spindle' | 'feed' | 'rapid' | 'coolant'

/** Something in force during motions that was another in the old program: one entry for each way it changed. */
export interface StateChange {
  readonly kind: StateKind
  /** In words of the program: `S16000 M3`, `F900`. */
  readonly from: string
  readonly to: string
  /** 1-based lines of the new program, and of the old one where it first differs. */
  readonly firstLine: number
  readonly lastLine: number
  readonly oldLine: number
  /** Blocks of the new program. */
  readonly blocks: number
}

interface ChangeInMaking {
  readonly kind: StateKind
  readonly from: string
  readonly to: string
  firstLine: number
  lastLine: number
  readonly oldLine: number
  blocks: number
}

/** Times nearer than this, in proportion, are the same: they are kept as float32. */
const SAME_TIME = 1e-4

/** Gathers what is in force otherwise than before, over motions that belong to each other. */
export class StateChanges {
  readonly #old: ComparedPath
  readonly #new: ComparedPath
  readonly #changes = new Map<string, ChangeInMaking>()

  constructor(before: ComparedPath, after: ComparedPath) {
    this.#old = before
    this.#new = after
  }

  /** `isSame`: both motions go the same way, so that their times can be compared. */
  see({ old, new: now }: MatchedPart, isSame: boolean): void {
    // Where one stands still, nothing runs in both.
    if (!isSame && (old.from === old.to || now.from === now.to)) return
    const oldPath = this.#old.toolpath, newPath = this.#new.toolpath
    const oldLine = oldPath.line[old.motion] ?? 0, newLine = newPath.line[now.motion] ?? 0
    const before = this.#old.states.of(old.motion, oldLine), after = this.#new.states.of(now.motion, newLine)
    if (before === undefined || after === undefined) return
    const note = (kind: StateKind, from: string, to: string) => { if (from !== to) this.#note(kind, from, to, oldLine, newLine) }
    note('tool', toolWords(before), toolWords(after))
    note('length-offset', lengthWords(before), lengthWords(after))
    note('work-offset', before.workOffset ?? 'none named', after.workOffset ?? 'none named')
    note('spindle', spindleWords(before), spindleWords(after))
    note('coolant', before.coolant ? 'on' : 'off', after.coolant ? 'on' : 'off')
    const wasRapid = isRapid(oldPath, old.motion), isRapidNow = isRapid(newPath, now.motion)
    note('rapid', wasRapid ? 'rapid' : 'feed', isRapidNow ? 'rapid' : 'feed')
    if (wasRapid || isRapidNow) return
    const times: readonly [number, number] = [oldPath.seconds[old.motion] ?? Number.NaN, newPath.seconds[now.motion] ?? Number.NaN]
    const isTimed = isSame && !isUnknown(newPath, now.motion)
    if (!sameFeed(before, after, isTimed ? times : undefined)) note('feed', feedWords(before), feedWords(after))
  }

  /** In the order of the new program. */
  list(): StateChange[] {
    return [...this.#changes.values()].sort((a, b) => a.firstLine - b.firstLine)
  }

  #note(kind: StateKind, from: string, to: string, oldLine: number, newLine: number): void {
    const key = `${kind} ${from} > ${to}`, line = newLine + 1
    const known = this.#changes.get(key)
    if (known === undefined) this.#changes.set(key, { kind, from, to, firstLine: line, lastLine: line, oldLine: oldLine + 1, blocks: 1 })
    else {
      if (line !== known.lastLine) known.blocks++
      known.firstLine = Math.min(known.firstLine, line)
      known.lastLine = Math.max(known.lastLine, line)
    }
  }
}

/** The same rate along the path: by the words where both give it per minute, else by the time of the same motion. */
function sameFeed(before: MotionState, after: MotionState, times: readonly [number, number] | undefined): boolean {
  const a = perMinute(before), b = perMinute(after)
  if (a !== undefined && b !== undefined) return Math.abs(a - b) <= 1e-9 * Math.abs(a)
  if (times !== undefined && times.every(Number.isFinite)) return Math.abs(times[0] - times[1]) <= SAME_TIME * Math.abs(times[0])
  return before.feed === after.feed && before.feedMode === after.feedMode && before.unit === after.unit
}

/** mm/min; undefined in the other modes. A mode that is not stated is per minute (NISTIR 6556 2.1.2.5). */
function perMinute({ feed, feedMode, unit }: MotionState): number | undefined {
  if (feed === undefined || feedMode === 93 || feedMode === 95) return undefined
  return feed * (unit ?? 1)
}

/** A word as the program would write it; NaN is a value that only the control works out. */
function named(letter: string, value: number): string {
  return Number.isNaN(value) ? `${letter} not known here` : `${letter}${value}`
}

function toolWords({ tool }: MotionState): string {
  return tool === undefined ? 'no tool' : `T${tool}`
}

function lengthWords({ lengthOffset, toolCentre }: MotionState): string {
  const words = lengthOffset === undefined || lengthOffset === 0 ? 'no length offset' : named('H', lengthOffset)
  return toolCentre ? `${words} with tool-centre control` : words
}

function spindleWords({ speed, spindle }: MotionState): string {
  if (spindle === 'stopped') return 'stopped'
  return `${speed === undefined ? 'S not given' : named('S', speed)} ${spindle === 'clockwise' ? 'M3' : 'M4'}`
}

const modeWords = { 93: ' in inverse time (G93)', 94: '', 95: ' per revolution (G95)' } as const

function feedWords({ feed, feedMode, unit }: MotionState): string {
  const words = feed === undefined ? 'no feed' : `${named('F', feed)}${modeWords[feedMode ?? 94]}`
  return unit === 25.4 ? `${words} (inch)` : words
}
