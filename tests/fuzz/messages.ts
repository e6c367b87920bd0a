import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { tryPageMessages } from './page-session.ts'
import { tryServerSession } from './server-session.ts'

// Messages that nobody should send, for a fixed time: half of it to the server's process, half between the viewer's page and its host.
// The seed of a failing session stands in its message; `--seed` tries both kinds of it again.

const { values } = parseArgs({ options: { seconds: { type: 'string', default: '60' }, seed: { type: 'string' }, root: { type: 'string', default: '.' }, server: { type: 'string', default: '' } } })
const kept = mkdtempSync(join(tmpdir(), 'toolwake-fuzz-kept-'))
// A message may ask to clear what is kept.
process.env['XDG_CACHE_HOME'] = kept

const kinds = [
  { name: 'sessions with the server', attempt: (seed: number) => tryServerSession(values.server, join(values.root, 'samples'), seed) },
  { name: 'talks of page and host', attempt: tryPageMessages },
]
try {
  for (const { name, attempt } of kinds) {
    const first = values.seed === undefined ? Date.now() % 1_000_000_000 : Number(values.seed), end = Date.now() + 500 * Number(values.seconds)
    let seed = first
    do await attempt(seed++)
    while (values.seed === undefined && Date.now() < end)
    console.log(`${seed - first} ${name}, seeds ${first} to ${seed - 1}: every question answered, nothing lost`)
  }
} catch (error) {
  console.error(error)
  process.exitCode = 1
} finally {
  rmSync(kept, { recursive: true, force: true })
}
