import type { Kinematics } from '../../../shared/kinematics.ts'
import type { Machine } from '../../../shared/machine.ts'
import type { Setup } from '../../../shared/setup.ts'
import { spanAfter } from '../nc/text-change.ts'
import type { TextChange } from '../nc/text-change.ts'
import type { ModalState } from './modal-state.ts'
import type { ProblemEvent } from './problem-collector.ts'
import type { RunSnapshot } from './program-run.ts'

// What a run leaves behind so that the next one, of a text that is little different, need not do all of it again.

/** A place to go on from: the state, and how much had come out of the run before it. */
export interface Checkpoint {
  readonly run: RunSnapshot
  readonly motions: number
  readonly arcs: number
  readonly events: number
  readonly dwellSeconds: number
  /** What the visitor of the run has kept here; undefined where none looked on. */
  readonly mark: unknown
}

export interface RunRecord {
  readonly machine: Machine
  readonly setup: Setup | undefined
  readonly kinematics: Kinematics
  readonly text: string
  readonly checkpoints: readonly Checkpoint[]
  /** Step at which a line first ran, from 1; 0: it has not. */
  readonly firstStep: Int32Array
  readonly steps: number
  /** What was told on the way, before it was gathered; undefined where that is too much to keep. */
  readonly events: readonly ProblemEvent[] | undefined
}

/** Whether going on from both places comes to the same, the second one's text being the same from there. */
export function goOnAlike(before: RunSnapshot, after: RunSnapshot, change: TextChange): boolean {
  const { lengthOffsetSpan: span, ...rest } = before.state, { lengthOffsetSpan: other, ...others } = after.state
  const moved = span === undefined ? undefined : spanAfter(span, change)
  if (span !== undefined && moved === undefined) return false
  if (Math.min(1, before.percents + before.blockCount) !== Math.min(1, after.percents + after.blockCount)) return false
  // Motions from an unknown start are counted until every axis is known.
  if (!before.unknownStarts.isOver || !after.unknownStarts.isOver) return false
  return same(moved, other) && same(rest, others) && same(before.variables, after.variables)
}

/** The state with its span where the new text has it; undefined where the change has taken it away. */
export function stateAfter(state: ModalState, change: TextChange): ModalState | undefined {
  if (state.lengthOffsetSpan === undefined) return state
  const lengthOffsetSpan = spanAfter(state.lengthOffsetSpan, change)
  return lengthOffsetSpan === undefined ? undefined : { ...state, lengthOffsetSpan }
}

/** The event as the new text has it; undefined where the change touches its place. */
export function eventAfter(event: ProblemEvent, change: TextChange, lines: number): ProblemEvent | undefined {
  if (event.kind === 'count') {
    const span = spanAfter(event.span, change)
    return span === undefined ? undefined : { ...event, span, line: event.line + lines }
  }
  const span = spanAfter(event.problem.span, change)
  const related = event.problem.related?.flatMap(each => {
    const place = spanAfter(each.span, change)
    return place === undefined ? [] : [{ ...each, span: place }]
  })
  if (span === undefined || related?.length !== event.problem.related?.length) return undefined
  return { kind: 'tell', problem: { ...event.problem, span, ...related === undefined ? {} : { related } } }
}

/** Plain data, arrays and maps; two not-a-numbers are the same. */
function same(a: unknown, b: unknown): boolean {
  if (Object.is(a, b)) return true
  if (typeof a !== 'object' || typeof b !== 'object' || a === null || b === null) return false
  if (a instanceof Map && b instanceof Map) return a.size === b.size && [...a].every(([key, value]) => b.has(key) && same(value, b.get(key)))
  const left = Object.entries(a), right = new Map(Object.entries(b))
  return left.length === right.size && left.every(([key, value]) => right.has(key) && same(value, right.get(key)))
}
