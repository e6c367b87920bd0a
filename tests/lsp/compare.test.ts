import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { LanguageServerUnderTest, bundleServer } from '../harness/language-server.ts'
import { PlateJob } from '../harness/plate-job.ts'

// The comparison as the editor asks for it: the open text, saved or not, against a file.

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

describe('toolwake/compare', () => {
  test('the text in the editor against the file it was released as', async () => {
    const uri = job.uri('plate.nc'), shares: number[] = []
    server.connection.onNotification('toolwake/compareProgress', ({ share }: { share: number }) => { shares.push(share) })
    await server.open(uri, job.program.replace('X-5. Y10.', 'X-5. Y10. (NOT SAVED)').replace('Z-0.05', 'Z-0.2'))
    const { markdown } = await server.ask('toolwake/compare', { uri, old: join(job.folder, 'plate.nc') })
    expect(markdown).toMatch(/^# plate\.nc compared with plate\.nc\n\nBoth with the setup sheet plate\.setup\.json\./)
    expect(markdown).toContain('**The edit changes the motion in one place (up to 0.15 mm off, in line 15).**')
    expect(markdown).toMatch(/- \*\*error gouge\*\* \(new\), line 15/)
    expect(markdown).toContain('A clean result is no proof of a safe program.')
    expect(Math.max(...shares)).toBeGreaterThan(0.5)
  })

  test('a file that is not there, or a program that is not open: one sentence', async () => {
    const uri = job.uri('plate.nc')
    await expect(server.ask('toolwake/compare', { uri, old: join(job.folder, 'gone.nc') })).rejects.toThrow('gone.nc is not there')
    await expect(server.ask('toolwake/compare', { uri: job.uri('other.nc'), old: join(job.folder, 'plate.nc') })).rejects.toThrow('not open')
  })
})
