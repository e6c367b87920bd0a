import { neverCancelled } from '../../shared/cancellation.ts'
import type { CheckResult, ContactFigures, MendReport } from '../engine/service.ts'
import { checkText, openJob, type CheckJob, type OpenedJob } from './check-job.ts'

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
  // Search, mend and search again: each has a third of the way.
  const third = (n: number) => (done: number, total: number) => job.onProgress?.(n + done / Math.max(1, total), 3)
  try {
    const { result: before, figures } = await checkText(opened, { ...job, onProgress: third(0) })
    if (figures === undefined) return { before, report: undefined, after: before }
    const report = await mendText(opened, job, before, figures, third(1))
    if (report === undefined || report.edits.length === 0) return { before, report, after: before }
    const { result: after } = await checkText(opened, { ...job, text: report.text, onProgress: third(2) })
    return { before, report, after }
  } finally {
    await opened.close()
  }
}

/** Checks a whole program, and works out and proves what would mend it. */
export async function checkWithMends(job: Omit<CheckJob, 'lines'>): Promise<CheckResult> {
  const opened = await openJob(job)
  try {
    const { result, figures } = await checkText(opened, job)
    return figures === undefined ? result : { ...result, mend: await mendText(opened, job, result, figures) }
  } finally {
    await opened.close()
  }
}

/** Mends a text that has been checked, but for what a comment in it accepts; undefined once nobody waits. */
function mendText(
  { searched, sheetPath }: OpenedJob, { path, text, cancellation = neverCancelled }: CheckJob, { findings }: CheckResult, figures: ContactFigures, onProgress?: CheckJob['onProgress'],
): Promise<MendReport | undefined> {
  const accepted = findings.flatMap(({ rule, contact, waiver }) => contact === undefined || waiver === undefined ? [] : [{ rule, first: contact.firstLine - 1, last: contact.lastLine - 1 }])
  return searched === undefined ? Promise.resolve(undefined) : searched.pool.mend({ path, text, sheetPath }, figures, { accepted }, cancellation, onProgress)
}
