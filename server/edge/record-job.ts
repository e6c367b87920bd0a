import type { CheckResult, MeasuredPart, Obstacle, PartMesh, Scene } from '../engine/service.ts'
import { checkText, openJob, type CheckJob } from './check-job.ts'

/** One program checked from its first block to its last, with what its pictures are drawn from. */
export interface RecordOutcome {
  readonly result: CheckResult
  readonly scene: Scene
  readonly sheetPath: string | undefined
  /** The part's mesh; undefined where nothing was searched. */
  readonly mesh: PartMesh | undefined
  readonly obstacles: readonly Obstacle[]
  /** Undefined where nothing was measured on the part. */
  readonly measured: MeasuredPart | undefined
}

export async function checkForRecord(job: Omit<CheckJob, 'lines'>): Promise<RecordOutcome> {
  const opened = await openJob(job)
  try {
    const { result, measured } = await checkText(opened, job)
    const { scene, sheetPath, searched } = opened
    return { result, scene, sheetPath, mesh: searched?.mesh, obstacles: searched?.obstacles ?? [], measured }
  } finally {
    await opened.close()
  }
}
