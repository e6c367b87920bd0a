import { guardNews } from '../guard.ts'
import type { ServerContext } from '../server-context.ts'
import { Stream } from '../stream.ts'

/** While a search runs, the editor asks again for what its figures stand in at most this often, ms. */
const PAUSE = 1000

/** Tells the editor that what it shows between and above the words is out of date. Each program's news are gathered. */
export function registerRefreshing({ connection, client, log, hearScene }: ServerContext): void {
  const refresh = guardNews('refresh', log, async () => {
    const { workspace } = client.capabilities
    if (workspace?.codeLens?.refreshSupport === true) await connection.sendRequest('workspace/codeLens/refresh')
    if (workspace?.inlayHint?.refreshSupport === true) await connection.languages.inlayHint.refresh()
  })
  const stream = new Stream(PAUSE, refresh)
  hearScene(() => stream.wake())
  connection.onExit(() => stream.stop())
}
