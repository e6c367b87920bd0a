import { existsSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { LanguageServerUnderTest, bundleServer } from '../harness/language-server.ts'
import { PlateJob } from '../harness/plate-job.ts'
import { runToolwake } from '../harness/run-toolwake.ts'

// The release record as the editor asks for it: that of the command line.

let bundle: Awaited<ReturnType<typeof bundleServer>>, job: PlateJob, server: LanguageServerUnderTest

beforeAll(async () => {
  bundle = await bundleServer()
  job = new PlateJob()
  server = new LanguageServerUnderTest(bundle.path)
  await server.initialize({ folder: job.uri('') })
})
afterAll(async () => {
  await server.stop()
  job.remove()
  bundle.remove()
})

describe('toolwake/writeRecord', () => {
  test('writes what the command line writes, byte for byte, and says how it goes', async () => {
    const uri = job.uri('plate.nc'), shares: number[] = [], output = join(job.folder, 'editor.html')
    server.connection.onNotification('toolwake/recordProgress', ({ share }: { share: number }) => { shares.push(share) })
    const { sentence } = await server.ask('toolwake/writeRecord', { uri, output })
    expect(sentence).toContain('1 finding. Read what was not checked before you sign it.')
    await runToolwake(['report', 'plate.nc', '--output', 'terminal.html'], { folder: job.folder })
    expect(readFileSync(output, 'utf8')).toBe(readFileSync(join(job.folder, 'terminal.html'), 'utf8'))
    expect(Math.max(...shares)).toBe(1)
  })

  test('a program that is not there, or a place that cannot be written: one sentence, and no page', async () => {
    await expect(server.ask('toolwake/writeRecord', { uri: job.uri('gone.nc'), output: join(job.folder, 'gone.html') })).rejects.toThrow('gone.nc is not there')
    expect(existsSync(join(job.folder, 'gone.html'))).toBe(false)
    await expect(server.ask('toolwake/writeRecord', { uri: job.uri('plate.nc'), output: join(job.folder, 'none', 'a.html') })).rejects.toThrow('is not there')
    await expect(server.ask('toolwake/writeRecord', { uri: job.uri('plate.nc'), output: join(job.folder, 'plate.nc') })).rejects.toThrow('would be written over')
    expect(readFileSync(join(job.folder, 'plate.nc'), 'utf8')).toBe(job.program)
  })
})
