import type { Level, MotionExtent, Related } from './finding.ts'
import type { Span } from './span.ts'

/**
 * What a layer of the engine found out, before the rules' levels and the reviewer's waivers are
 * laid over it. Each layer keeps its wordings in one table of its own; the rule's page lives in
 * `server/engine/lint/rules`.
 */
export interface Problem {
  readonly rule: string
  readonly span: Span
  readonly message: string
  /** Path of the file the span lies in; the program itself when absent. */
  readonly file?: string
  /** Only where the case is graver or milder than the rule's default. */
  readonly level?: Level
  readonly related?: readonly Related[]
  /** Index of the motion it is about: the calls that lead there and the run of its block are then told with it. */
  readonly motion?: number
  readonly extent?: MotionExtent
}

export type Report = (problem: Problem) => void
