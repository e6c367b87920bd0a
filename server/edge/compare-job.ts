import { resolve } from 'node:path'
import { comparePrograms, openScene, type CheckResult, type ProgramComparison, type TextFile } from '../engine/service.ts'
import { checkProgram, type CheckJob, type MeansOfCheck } from './check-job.ts'
import { findSetup } from './find-setup.ts'
import { readInputs } from './read-inputs.ts'

/** Two programs to compare. Both are checked with one sheet, so that what differs comes from the programs. */
export interface CompareJob extends MeansOfCheck, Pick<CheckJob, 'threads' | 'epsilon' | 'cancellation'> {
  readonly old: TextFile
  readonly new: TextFile
  /** The sheet of both; found beside the new program, else beside the old one, when absent. */
  readonly setupPath?: string
  /** Folders that bound the search for a sheet. */
  readonly roots?: readonly string[]
  /** Share of the whole work done, 0..1. */
  readonly onProgress?: (share: number) => void
}

export interface CompareResult {
  readonly old: CheckResult
  readonly new: CheckResult
  readonly comparison: ProgramComparison
  readonly setupPath?: string
}

export async function compareFiles(job: CompareJob): Promise<CompareResult> {
  const setupPath = sheetOf(job)
  const check = (file: TextFile, done: number) => checkProgram({
    path: file.path, text: file.text, setupPath, threads: job.threads, epsilon: job.epsilon, cancellation: job.cancellation,
    store: job.store, memory: job.memory, log: job.log,
    onProgress: (motions, total) => job.onProgress?.(done + motions / total / 2),
  })
  const old = await check(job.old, 0), now = await check(job.new, 0.5)
  const inputs = await readInputs(setupPath, { withoutMesh: true })
  const scene = openScene(inputs.sheet, inputs.machine, inputs.failures)
  return { old, new: now, comparison: comparePrograms(old, now, scene), ...setupPath === undefined ? {} : { setupPath } }
}

function sheetOf({ setupPath, old, new: now, roots }: CompareJob): string | undefined {
  return setupPath === undefined ? findSetup(now.path, roots) ?? findSetup(old.path, roots) : resolve(setupPath)
}
