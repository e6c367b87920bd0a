import { comparePrograms, type CheckResult, type ProgramComparison, type TextFile } from '../engine/service.ts'
import { checkText, openJob, type CheckJob, type MeansOfCheck } from './check-job.ts'
import type { SetupChoice } from './setup-choice.ts'

/** Two programs to compare. Both are checked with one sheet, so that what differs comes from the programs. */
export interface CompareJob extends SetupChoice, MeansOfCheck, Pick<CheckJob, 'threads' | 'epsilon' | 'cancellation'> {
  readonly old: TextFile
  readonly new: TextFile
  /** Share of the whole work done, 0..1. */
  readonly onProgress?: (share: number) => void
}

export interface CompareResult {
  readonly old: CheckResult
  readonly new: CheckResult
  readonly comparison: ProgramComparison
}

export async function compareFiles(job: CompareJob): Promise<CompareResult> {
  const { setupPath, otherSetups, threads, store, memory, log, mayRead } = job
  const opened = await openJob({ path: job.new.path, setupPath, threads, store, memory, log, mayRead })
  try {
    const check = async (file: TextFile, done: number) => (await checkText(opened, {
      path: file.path, text: file.text, setupPath, otherSetups, threads, store, memory, log, epsilon: job.epsilon, cancellation: job.cancellation,
      onProgress: (motions, total) => job.onProgress?.(done + motions / Math.max(1, total) / 2),
    })).result
    const old = await check(job.old, 0), now = await check(job.new, 0.5)
    return { old, new: now, comparison: comparePrograms(old, now, opened.scene) }
  } finally {
    await opened.close()
  }
}
