import { neverCancelled } from '../../shared/cancellation.ts'
import type { CheckResult, MendOptions, MendReport } from '../engine/service.ts'
import { checkText, openJob, type CheckJob } from './check-job.ts'

/** What came of mending one program. */
export interface MendOutcome {
  readonly before: CheckResult
  /** Undefined where nothing could be searched, and so nothing mended. */
  readonly report: MendReport | undefined
  /** The mended text, checked from its first block to its last like any other. */
  readonly after: CheckResult
}

/** Checks a program, mends it and checks the mended text anew; the three share the files and the threads. */
export async function mendFile(job: Omit<CheckJob, 'lines'>): Promise<MendOutcome> {
  const opened = await openJob(job)
  const cancellation = job.cancellation ?? neverCancelled
  // Search, mend and search again: each has a third of the way.
  const third = (n: number) => (done: number, total: number) => job.onProgress?.(n + done / Math.max(1, total), 3)
  try {
    const { result: before, figures } = await checkText(opened, { ...job, onProgress: third(0) })
    if (figures === undefined || opened.searched === undefined) return { before, report: undefined, after: before }
    const report = await opened.searched.pool.mend({ path: job.path, text: job.text, sheetPath: opened.sheetPath }, figures, { accepted: acceptedIn(before) }, cancellation, third(1))
    if (report === undefined || report.edits.length === 0) return { before, report, after: before }
    const { result: after } = await checkText(opened, { ...job, text: report.text, onProgress: third(2) })
    return { before, report, after }
  } finally {
    await opened.close()
  }
}

/** Contact findings that a comment in the program accepts, as rule and lines. */
function acceptedIn({ findings }: CheckResult): NonNullable<MendOptions['accepted']> {
  return findings.flatMap(({ rule, contact, waiver }) => contact === undefined || waiver === undefined ? [] : [{ rule, first: contact.firstLine - 1, last: contact.lastLine - 1 }])
}
