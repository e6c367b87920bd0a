import { mkdtempSync, readdirSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, afterEach, beforeAll, beforeEach, expect, it } from 'vitest'
import { bundleServer, LanguageServerUnderTest, rulesOf } from '../harness/language-server.ts'
import { PlateJob } from '../harness/plate-job.ts'

// What each setting does that is not shown elsewhere: rules and levels in language-server.test.ts, search in contact-stream.test.ts,
// epsilon in editor-features.test.ts, setupSheets in sheet-fixes.test.ts, hints and marks in the tests in the editor.

let bundle: Awaited<ReturnType<typeof bundleServer>>
let server: LanguageServerUnderTest
let job: PlateJob, kept: string

beforeAll(async () => { bundle = await bundleServer() })
afterAll(() => bundle.remove())
beforeEach(() => {
  job = new PlateJob()
  kept = mkdtempSync(join(tmpdir(), 'toolwake-kept-'))
})
afterEach(() => {
  server.kill()
  job.remove()
  rmSync(kept, { recursive: true, force: true })
})

/** The findings of the plate, checked to its end under these settings. */
async function checkedUnder(configuration: object) {
  server = new LanguageServerUnderTest(bundle.path)
  await server.initialize({ folder: job.uri(''), configuration, keptIn: kept })
  const uri = job.uri('plate.nc')
  await server.open(uri, job.program)
  await server.done(uri)
  return { uri, found: await server.findings(uri, 1) }
}

it('contact.threads: the findings are the same for any number', async () => {
  const { found: one } = await checkedUnder({ contact: { threads: 1 } })
  server.kill()
  const { found: four } = await checkedUnder({ contact: { threads: 4 } })
  expect(rulesOf(one)).toContain('gouge')
  expect(four).toEqual(one)
})

it('memoryLimit: a mesh that does not fit is not opened, and that is said', async () => {
  // Some 500 bytes a triangle of working room do not fit into one megabyte where the mesh has many triangles.
  const { found } = await checkedUnder({ memoryLimit: 1 })
  expect(rulesOf(found)).toContain('gouge')
  server.kill()
  job.write('plate.stl', manyTriangles(20_000))
  const uri = job.uri('plate.nc')
  await checkedUnder({ memoryLimit: 1 })
  await server.until('a note that the mesh was not opened', () => server.published.some(({ diagnostics }) => diagnostics.some(({ code, message }) => code === 'not-checked' && /MB/.test(String(message)))))
  expect(rulesOf(await server.findings(uri, 1))).not.toContain('gouge')
})

it('keptResults: nothing lies in the folder where it is 0, else the figures do', async () => {
  await checkedUnder({ keptResults: 0 })
  expect(readdirSync(kept)).toEqual([])
  server.kill()
  await checkedUnder({ keptResults: 64 })
  await expect.poll(() => readdirSync(kept, { recursive: true }).length).toBeGreaterThan(0)
  const { files } = await server.ask('toolwake/clearKept', {})
  expect(files).toBeGreaterThan(0)
})

it('setupSheet: the sheet of every program of the folder, from the folder on', async () => {
  job.write('high.setup.json', job.sheet.replace('"plate.nc"', '"other.nc"').replace('"mesh": "plate.stl"', '"mesh": "plate.stl", "translate": [0, 0, 1]'))
  const { uri, found } = await checkedUnder({ setupSheet: 'high.setup.json' })
  expect(found.filter(({ code }) => code === 'gouge').map(({ message }) => message).join()).toContain('1.05')
  expect((await server.ask('toolwake/setupSheet', { uri })).path).toBe(join(job.folder, 'high.setup.json'))
})

it('toolSummary and hints.clearances: shown or not', async () => {
  const whole = { start: { line: 0, character: 0 }, end: { line: 1000, character: 0 } }
  const shown = async (uri: string) => {
    const lenses = await server.connection.sendRequest<unknown[]>('textDocument/codeLens', { textDocument: { uri } })
    const hints = await server.connection.sendRequest<{ label: string }[]>('textDocument/inlayHint', { textDocument: { uri }, range: whole })
    return { lenses: lenses.length, hasClearance: hints.some(({ label }) => label.includes('cutter -0.05')) }
  }
  expect(await shown((await checkedUnder({ toolSummary: false })).uri)).toEqual({ lenses: 0, hasClearance: false })
  server.kill()
  expect(await shown((await checkedUnder({ hints: { clearances: true } })).uri)).toEqual({ lenses: 1, hasClearance: true })
})

/** The plate's top in so many triangles, as text of its own form. */
function manyTriangles(count: number): string {
  const facets = Array.from({ length: count }, (_, i) => {
    const x = i * 40 / count, next = (i + 1) * 40 / count
    return `facet normal 0 0 1\nouter loop\nvertex ${x} 0 0\nvertex ${next} 0 0\nvertex ${next} 30 0\nendloop\nendfacet`
  })
  return `solid plate\n${facets.join('\n')}\nendsolid plate\n`
}
