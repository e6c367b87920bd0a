import type { MeansOfCheck } from '../edge/check-job.ts'
import type { StorePlace } from '../edge/result-store.ts'
import type { CommonOptions } from './common-options.ts'
import type { Terminal } from './terminal.ts'

const MEGABYTE = 2 ** 20

/** How a command goes about its checks, as the call asks for it. `store`: where results are kept if the call allows it. */
export function meansOfCheck({ cache, memory }: Pick<CommonOptions, 'cache' | 'memory'>, store: StorePlace | undefined, terminal: Terminal): MeansOfCheck {
  return {
    store: cache ? store : undefined,
    memory: memory === undefined ? undefined : memory * MEGABYTE,
    log: sentence => void terminal.errors.write(`toolwake: ${sentence}\n`),
  }
}
