import { fileURLToPath } from 'node:url'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { bundleServer } from '../harness/language-server.ts'
import { tryPageMessages } from './page-session.ts'
import { tryServerSession } from './server-session.ts'

// The same as `npm run fuzz -- --messages`, for 20 s each, or as many as TOOLWAKE_FUZZ_SECONDS says.

const seconds = Number(process.env['TOOLWAKE_FUZZ_SECONDS'] ?? 20)
const samples = fileURLToPath(new URL('../../samples', import.meta.url))

let bundle: Awaited<ReturnType<typeof bundleServer>>
beforeAll(async () => {
  bundle = await bundleServer()
})
afterAll(() => bundle.remove())

const kinds: readonly (readonly [string, (seed: number) => Promise<void>])[] = [
  ['the server, whatever it is sent', seed => tryServerSession(bundle.path, samples, seed)],
  ['page and host, whatever they send each other', tryPageMessages],
]
it.each(kinds)('%s', async (name, attempt) => {
  const first = Date.now() % 1_000_000_000, end = Date.now() + 1000 * seconds
  let seed = first
  do await attempt(seed++)
  while (Date.now() < end)
  console.log(`${name}: seeds ${first} to ${seed - 1}`)
  expect(seed).toBeGreaterThan(first)
}, 1000 * seconds + 180_000)
