import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest'
import { LanguageServerUnderTest, bundleServer, rulesOf } from '../harness/language-server.ts'
import { PlateJob } from '../harness/plate-job.ts'

// The stock in the editor, through the server as it is shipped.

let bundle: Awaited<ReturnType<typeof bundleServer>>
let server: LanguageServerUnderTest
let job: PlateJob

beforeAll(async () => {
  bundle = await bundleServer()
})
afterAll(() => bundle.remove())
afterEach(() => {
  server.kill()
  job.remove()
})

describe('the stock in the editor', () => {
  it('finds a rapid into it, forgets it with the edit that mends it, and is drawn', async () => {
    job = new PlateJob()
    const uri = job.uri('plate.nc')
    // The plate's top is the plane z = 0: 5 mm are on it, and the program was written for none.
    job.write('plate.setup.json', job.sheet.replace('"part"', '"stock": { "box": { "min": [-10, -10, -10], "max": [60, 60, 5] }, "pitch": 1 },\n  "part"'))
    server = new LanguageServerUnderTest(bundle.path)
    await server.initialize({ folder: job.uri('') })
    const lines = job.program.split('\n'), dip = job.lineOf('Z-0.05')
    const rapid = [...lines.slice(0, dip), 'G0 X25. Y25. Z1.', ...lines.slice(dip)].join('\n')
    await server.open(uri, rapid)
    const found = await server.findings(uri, 1, list => rulesOf(list).includes('rapid-into-stock'))
    expect(found.filter(one => one.code === 'rapid-into-stock').map(one => one.range.start.line)).toContain(dip)
    const drawn = await server.ask('toolwake/stockAt', { uri, line: dip })
    expect(drawn.triangles).toBeGreaterThan(1000)
  })
})
