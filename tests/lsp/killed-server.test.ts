import { afterAll, beforeAll, expect, it } from 'vitest'
import { LanguageServerUnderTest, bundleServer, rulesOf } from '../harness/language-server.ts'
import { PlateJob } from '../harness/plate-job.ts'

// The server's process ended from outside in the middle of its checks, and another that goes on with the same files and kept results.

let bundle: Awaited<ReturnType<typeof bundleServer>>
const job = new PlateJob()
beforeAll(async () => {
  bundle = await bundleServer()
})
afterAll(() => {
  bundle.remove()
  job.remove()
})

it('a server killed again and again leaves nothing that misleads the next', async () => {
  const uri = job.uri('plate.nc')
  // Killed at once, while it reads, while it searches and while it may be keeping results.
  for (const phase of [undefined, 'reading', 'searching', 'done'] as const) {
    const server = new LanguageServerUnderTest(bundle.path)
    await server.initialize({ folder: job.uri('') })
    await server.open(uri, job.program)
    if (phase !== undefined) await server.until(`the phase ${phase}`, () => server.statuses.some(one => one.phase === phase || one.phase === 'done'))
    server.kill()
    await server.ended
    expect(server.process.signalCode).toBe('SIGKILL')
  }
  const next = new LanguageServerUnderTest(bundle.path)
  try {
    await next.initialize({ folder: job.uri('') })
    await next.open(uri, job.program)
    expect(rulesOf(await next.findings(uri, 1, list => rulesOf(list).includes('gouge')))).not.toContain('not-checked')
    expect((await next.done(uri)).phase).toBe('done')
  } finally {
    next.kill()
  }
})
