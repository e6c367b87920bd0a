import { clearResults } from '../../edge/result-store.ts'
import type { ServerContext } from '../server-context.ts'

/** Removes what was kept to be faster the next time. */
export function registerKeptResults({ answer, client }: ServerContext): void {
  answer('toolwake/clearKept', () => ({ ...clearResults(client.keptIn), folder: client.keptIn }))
}
