import type { RecordScene } from '../../engine/service.ts'
import type { Html } from './html.ts'
import type { RecordOutcome } from '../../edge/record-job.ts'
import type { CheckedProgram, CheckReport } from '../check-report.ts'

/** All that a release record is written from. */
export interface RecordInput {
  /** One program; its paths are shown as from its own folder, so that the record does not depend on where that lies. */
  readonly report: CheckReport
  readonly program: CheckedProgram
  readonly outcome: RecordOutcome
  /** Proven width of each contact figure, mm. */
  readonly epsilon: number
}

/** A section of the record; empty where there is nothing to say. */
export type RecordSection = (input: RecordInput) => Html

/** What the pictures are drawn from; undefined where nothing was searched. */
export function recordScene({ outcome: { result: { program }, scene, mesh, obstacles } }: RecordInput): RecordScene | undefined {
  return mesh === undefined ? undefined : { program, scene, mesh, obstacles }
}
