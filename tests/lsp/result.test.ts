import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { NO_MOTION, type ResultAnswer, type ResultDescription } from '../../shared/protocol/result-messages.ts'
import { LanguageServerUnderTest, bundleServer, rulesOf } from '../harness/language-server.ts'
import { PlateJob } from '../harness/plate-job.ts'

// What is left on the plate, as the editor's server measures it. Its ball of 6 mm goes over the top face and dips
// 0.05 mm below it in N130.

let bundle: Awaited<ReturnType<typeof bundleServer>>
let server: LanguageServerUnderTest
let job: PlateJob
let uri: string

beforeAll(async () => {
  bundle = await bundleServer()
})
afterAll(() => bundle.remove())
beforeEach(async () => {
  job = new PlateJob()
  job.write('plate.setup.json', job.sheet.replace('"gouge": 0.01', '"gouge": 0.01, "leftover": 0.05'))
  uri = job.uri('plate.nc')
  server = new LanguageServerUnderTest(bundle.path)
  await server.initialize({ folder: job.uri('') })
})
afterEach(() => {
  server.kill()
  job.remove()
})

describe('what is left on the part', () => {
  it('is found once contact is searched, and described with its arrays', async () => {
    await server.open(uri, job.program)
    await server.done(uri)
    const result = await described()
    const rules = rulesOf(await server.findings(uri, 1))
    expect(rules).toContain('gouge')
    expect(rules).toContain('undercut-unreached')
    expect(result.allowed).toEqual({ leftover: 0.05, gouge: 0.01 })
    const points = new Float32Array(await fetched(result.points))
    const heights = new Float32Array(await fetched(result.heights)), bounds = new Float32Array(await fetched(result.bounds)), motions = new Uint32Array(await fetched(result.motions))
    expect(points.length).toBe(result.samples * 3)
    expect([heights.length, bounds.length, motions.length]).toEqual([result.samples, result.samples, result.samples])
    // The deepest of them is the dip, made by its block.
    const deepest = heights.reduce((best, value, i) => value < (heights[best] ?? Infinity) || Number.isNaN(heights[best]) ? i : best, 0)
    expect(heights[deepest]).toBeCloseTo(-0.05, 2)
    expect(result.overcut?.value).toBeCloseTo(-heights[deepest], 5)
    expect([...points.subarray(deepest * 3, deepest * 3 + 3)]).toEqual(result.overcut?.point.map(Math.fround))
    expect(motions[deepest]).toBeLessThan(job.program.split('\n').length)
    const isFar = heights.map((value, i) => Number.isNaN(value) === (motions[i] === NO_MOTION) ? 0 : 1)
    expect(isFar.some(one => one > 0)).toBe(false)
  })

  it('follows an edit, as if freshly opened', async () => {
    await server.open(uri, job.program)
    await server.done(uri)
    const seen = server.statuses.length, line = job.lineOf('Z-0.05'), at = job.program.split('\n')[line].indexOf('Z-0.05')
    await server.edit(uri, 2, line, at, at + 6, 'Z-0.1')
    await server.done(uri, seen)
    const edited = await described()
    expect(edited.overcut?.value).toBeCloseTo(0.1, 2)
    const after = rulesOf(await server.findings(uri, 2)).sort()
    server.kill()
    job.write('plate.nc', job.program.replace('Z-0.05', 'Z-0.1'))
    server = new LanguageServerUnderTest(bundle.path)
    await server.initialize({ folder: job.uri('') })
    await server.open(uri, job.program.replace('Z-0.05', 'Z-0.1'))
    await server.done(uri)
    const fresh = await described()
    expect(rulesOf(await server.findings(uri, 1)).sort()).toEqual(after)
    expect(Math.abs((fresh.overcut?.value ?? 0) - (edited.overcut?.value ?? 0))).toBeLessThan(0.001)
    expect(Math.abs(fresh.reached - edited.reached)).toBeLessThan(1e-6)
  })

  it('shows in the hover of a block that comes lowest somewhere', async () => {
    await server.open(uri, job.program)
    await server.done(uri)
    await described()
    const hover = await server.connection.sendRequest<{ contents: { value: string } }>('textDocument/hover', {
      textDocument: { uri }, position: { line: job.lineOf('Z-0.05'), character: 6 },
    })
    expect(hover.contents.value).toMatch(/Comes lowest over .* mm² of the part's surface: .*0\.0(49|50) mm/)
  })

  it('is not measured where the sheet does not ask for it, and the answer says how to ask', async () => {
    job.write('plate.setup.json', job.sheet)
    await server.open(uri, job.program)
    await server.done(uri)
    const answer: ResultAnswer = await server.connection.sendRequest('toolwake/result', { uri })
    expect('absent' in answer ? answer.absent : '').toContain('state limits.leftover, or the stock')
  })

  it('is told to be absent, with the reason, where nothing is searched', async () => {
    job.write('plate.setup.json', job.sheet.replace('"part"', '"barriers": [], "prat"'))
    await server.open(uri, job.program)
    await server.done(uri)
    const answer: ResultAnswer = await server.connection.sendRequest('toolwake/result', { uri })
    expect('absent' in answer ? answer.absent : '').toMatch(/^What is left on the part is not measured: .*\.$/)
  })
})

/** The result, once it has been measured: that is after the search for contact has told its end. */
async function described(): Promise<ResultDescription> {
  for (;;) {
    const answer: ResultAnswer = await server.connection.sendRequest('toolwake/result', { uri })
    if ('absent' in answer) throw new Error(answer.absent)
    if (!('waiting' in answer)) return answer
    await new Promise(resolve => setTimeout(resolve, 20))
  }
}

/** One array whole, put together from its slices. */
async function fetched(key: string): Promise<ArrayBuffer> {
  const parts: Buffer[] = []
  for (let offset = 0; ;) {
    const slice = await server.connection.sendRequest<{ base64?: string, totalBytes?: number }>('toolwake/sceneBuffer', { uri, key, offset })
    const part = Buffer.from(slice.base64 ?? '', 'base64')
    parts.push(part)
    offset += part.length
    if (part.length === 0 || offset >= (slice.totalBytes ?? 0)) break
  }
  return Uint8Array.from(Buffer.concat(parts)).buffer
}
