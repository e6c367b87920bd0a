import type { CheckResult } from '../engine/service.ts'
import { checkText, openJob, type CheckJob, type OpenedJob } from './check-job.ts'
import { chooseSetup } from './setup-choice.ts'

/**
 * Checks many programs one after another. Programs of one sheet share what it names: machine, meshes with
 * their trees, and the threads; what one program is found to do does not depend on those before it. One sheet stands open at a time.
 */
export class OpenJobs {
  #open: { readonly key: string, readonly job: OpenedJob } | undefined

  readonly check = async (job: CheckJob): Promise<CheckResult> => {
    const choice = job.setupPath === undefined ? chooseSetup(job.path, undefined) : job, { setupPath } = choice, key = JSON.stringify([setupPath, job.threads])
    if (this.#open?.key !== key) {
      await this.close()
      this.#open = { key, job: await openJob({ ...job, setupPath }) }
    }
    return (await checkText(this.#open.job, { ...job, setupPath, otherSetups: choice.otherSetups })).result
  }

  async close(): Promise<void> {
    const open = this.#open
    this.#open = undefined
    await open?.job.close()
  }
}
