import { neverCancelled } from '../../shared/cancellation.ts'
import type { CheckResult, MendReport } from '../engine/service.ts'
import { checkBesideContact, checkText, openJob, type CheckedText, type CheckJob, type OpenedJob } from './check-job.ts'
import { proveMend, type ProvenMend } from './prove-mend.ts'

/** What came of mending one program. */
export interface MendOutcome {
  readonly before: CheckResult
  /** Undefined where nothing could be searched, and so nothing mended. */
  readonly report: MendReport | undefined
  /** The mended text, checked from its first block to its last like any other. */
  readonly after: CheckResult
}

/** Checks a program, mends it and checks the mended text anew from its first block to its last, until nothing is worse; all share the files and the threads. */
export async function mendFile(job: Omit<CheckJob, 'lines'>): Promise<MendOutcome> {
  const opened = await openJob(job)
  // Search, mend and search again: each has a third of the way.
  const third = (n: number) => (done: number, total: number) => job.onProgress?.(n + done / Math.max(1, total), 3)
  try {
    const before = await checkText(opened, { ...job, onProgress: third(0) })
    const proven = await mendText(opened, job, before, { onMended: third(1), onChecked: third(2) })
    return { before: before.result, report: proven?.report, after: proven?.checked ?? before.result }
  } finally {
    await opened.close()
  }
}

/** Checks a whole program, and works out and proves what would mend it. */
export async function checkWithMends(job: Omit<CheckJob, 'lines'>): Promise<CheckResult> {
  const opened = await openJob(job)
  try {
    const before = await checkText(opened, job), proven = await mendText(opened, job, before)
    return proven === undefined ? before.result : { ...before.result, mend: proven.report }
  } finally {
    await opened.close()
  }
}

/** Mends a text that has been checked, but for what a comment in it accepts; undefined where nothing was searched, or nobody waits. */
async function mendText(
  opened: OpenedJob, job: Omit<CheckJob, 'lines'>, { result: { program, findings }, figures }: CheckedText,
  { onMended, onChecked }: { readonly onMended?: CheckJob['onProgress'], readonly onChecked?: CheckJob['onProgress'] } = {},
): Promise<ProvenMend<CheckResult> | undefined> {
  const { searched, sheetPath, scene } = opened, { path, text, cancellation = neverCancelled } = job
  if (searched === undefined || figures === undefined) return undefined
  const accepted = findings.flatMap(({ rule, contact, waiver }) => contact === undefined || waiver === undefined ? [] : [{ rule, first: contact.firstLine - 1, last: contact.lastLine - 1 }])
  return proveMend<CheckResult>({
    scene,
    before: { program, findings },
    mend: heldBack => searched.pool.mend({ path, text, sheetPath }, figures, { accepted, heldBack }, cancellation, onMended),
    check: async mended => {
      const { result } = await checkText(opened, { ...job, text: mended, onProgress: onChecked })
      if (cancellation.cancelled()) return undefined
      const lookedAt = { obstacles: searched.obstacles, stock: result.stock !== undefined, surface: result.surface !== undefined }
      return { judged: { program: result.program, findings: result.findings }, lookedAt, checked: result }
    },
    checkReach: (given, changed) => checkBesideContact(opened, { ...job, text: given, onProgress: onChecked }, changed),
  })
}
