import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import type { Diagnostic } from 'vscode-languageserver/node'
import { LanguageServerUnderTest, bundleServer, rulesOf } from '../harness/language-server.ts'
import { PlateJob } from '../harness/plate-job.ts'

// Setup sheets and machine files in the editor with no program open. What each fault is called is tested in tests/setup.

let bundle: Awaited<ReturnType<typeof bundleServer>>
let server: LanguageServerUnderTest
let job: PlateJob

beforeAll(async () => { bundle = await bundleServer() })
afterAll(() => bundle.remove())
beforeEach(() => { job = new PlateJob() })
afterEach(() => {
  server.kill()
  job.remove()
})

async function start(configuration?: unknown): Promise<void> {
  server = new LanguageServerUnderTest(bundle.path)
  await server.initialize({ configuration })
}

const sheetUri = () => job.uri('plate.setup.json')
const openJson = (uri: string, text: string) => server.connection.sendNotification('textDocument/didOpen', { textDocument: { uri, languageId: 'jsonc', version: 1, text } })

/** The last list about a file, once the claim holds of it. */
const about = (uri: string, claim: (found: readonly Diagnostic[]) => boolean) => server.until(`findings in ${uri}`, () => {
  const last = server.published.filter(one => one.uri === uri).at(-1)
  return last !== undefined && claim(last.diagnostics) ? last.diagnostics : undefined
})

/** The text that a finding is marked at. */
function marked(text: string, { range: { start, end } }: Diagnostic): string {
  const lines = text.split('\n')
  return start.line === end.line ? (lines[start.line] ?? '').slice(start.character, end.character) : ''
}

describe('a setup sheet without a program', () => {
  it('has nothing wrong with it where nothing is', async () => {
    await start()
    await openJson(sheetUri(), job.sheet)
    // Asked after it, so answered after it.
    expect(await about(sheetUri(), () => true)).toEqual([])
  })

  it.each([
    ['a part whose mesh is not there', '"plate.stl"', '"plato.stl"', 'mesh-unreadable', /^The part's mesh .*plato\.stl is not there\.$/, '"plato.stl"'],
    ['a fixture whose mesh is a folder', '"limits"', '"fixtures": [{ "name": "vice jaw", "mesh": "." }], "limits"', 'mesh-unreadable', /^The mesh of fixture "vice jaw" .* is a folder/, '"."'],
    ['a barrier whose mesh is not there', '"limits"', '"barriers": [{ "name": "floor", "mesh": "floor.stl" }], "limits"', 'mesh-unreadable', /^The mesh of barrier "floor" .*is not there/, '"floor.stl"'],
    ['a stock whose mesh is not there', '"limits"', '"stock": { "mesh": "blank.stl" }, "limits"', 'mesh-unreadable', /^The mesh of the stock .*is not there/, '"blank.stl"'],
    ['a stock from a sheet that is not there', '"limits"', '"stock": { "from": "first.setup.json" }, "limits"', 'setup-error', /first\.setup\.json.* is not there/, undefined],
    ['a machine file that is not there', '"duct.machine.json"', '"mill.machine.json"', 'setup-error', /mill\.machine\.json is not there/, '"mill.machine.json"'],
    ['a shank wider than the holder that clamps it', '"DCONMS": 6', '"DCONMS": 25', 'setup-error', /shank DCONMS 25 mm is wider than the face of the holder that clamps it, 20 mm/, '25'],
    ['flutes longer than the stick-out', '"LPR": 30', '"LPR": 8', 'setup-error', /flutes LCF 10 mm are longer than the stick-out LPR 8 mm/, '8'],
    ['a neck that ends inside the holder', '"shank"', '"neck": { "DN": 5, "LU": 45 }, "shank"', 'setup-error', /inside the holder, whose face is at LPR 30 mm/, '45'],
    ['a value that is still to be filled in', '"LPR": 30', '"LPR": null', 'setup-error', /LPR/, 'null'],
  ])('tells of %s', async (_, from, to, rule, message, place) => {
    await start()
    const text = job.sheet.replace(from, to)
    await openJson(sheetUri(), text)
    const found = await about(sheetUri(), list => rulesOf(list).includes(rule))
    const finding = found.find(({ message: said }) => message.test(String(said)))
    expect(finding, JSON.stringify(found)).toMatchObject({ code: rule, source: 'toolwake', severity: 1 })
    if (finding !== undefined && place !== undefined) expect(marked(text, finding)).toBe(place)
  })

  it('follows what is typed, and a mesh that appears on the disk', async () => {
    await start()
    await openJson(sheetUri(), job.sheet.replace('"LPR": 30', '"LPR": 8').replace('plate.stl', 'other.stl'))
    await about(sheetUri(), list => rulesOf(list).includes('setup-error') && rulesOf(list).includes('mesh-unreadable'))
    await server.replace(sheetUri(), job.sheet.replace('plate.stl', 'other.stl'), 2)
    await about(sheetUri(), list => !rulesOf(list).includes('setup-error') && rulesOf(list).includes('mesh-unreadable'))
    job.write('other.stl', 'solid')
    await server.connection.sendNotification('workspace/didChangeWatchedFiles', { changes: [{ uri: job.uri('other.stl'), type: 1 }] })
    expect(await about(sheetUri(), list => !rulesOf(list).includes('mesh-unreadable'))).toEqual([])
  })

  it('tells what is wrong in its machine file at the machine file', async () => {
    await start()
    const machine = readFileSync(join(job.folder, 'duct.machine.json'), 'utf8').replace('"spindle"', '"spindel"')
    job.write('duct.machine.json', machine)
    await openJson(sheetUri(), job.sheet)
    const [finding] = await about(job.uri('duct.machine.json'), list => rulesOf(list).includes('setup-error'))
    expect(finding?.message).toMatch(/spindel.*spindle/s)
  })

  it('has the levels the user set', async () => {
    await start({ rules: { 'mesh-unreadable': 'note' } })
    await openJson(sheetUri(), job.sheet.replace('plate.stl', 'plato.stl'))
    const found = await about(sheetUri(), list => list.length > 0)
    expect(found.map(({ code, severity }) => [code, severity])).toEqual([['mesh-unreadable', 3]])
  })

  it('says the same as an open program once, and leaves nothing behind when both are closed', async () => {
    await start()
    const sheet = job.sheet.replace('plate.stl', 'plato.stl')
    job.write('plate.setup.json', sheet)
    await openJson(sheetUri(), sheet)
    await about(sheetUri(), list => rulesOf(list).includes('mesh-unreadable'))
    await server.open(job.uri('plate.nc'), job.program)
    // Only the search of a program can say that it was not done.
    const found = await about(sheetUri(), list => rulesOf(list).includes('not-checked'))
    expect(rulesOf(found).sort()).toEqual(['mesh-unreadable', 'not-checked'])
    await server.connection.sendNotification('textDocument/didClose', { textDocument: { uri: sheetUri() } })
    await server.connection.sendNotification('textDocument/didClose', { textDocument: { uri: job.uri('plate.nc') } })
    await about(sheetUri(), list => list.length === 0)
  })

  it('may hold anything', async () => {
    await start()
    for (const [version, text] of ['', '[', '{"tools": [{}, null, 3, {"number": 1e99}]}', '\u0000\ufffd'.repeat(5000), '{"part": {"mesh": "\u0000"}}', '['.repeat(20_000)].entries()) {
      if (version === 0) await openJson(sheetUri(), text)
      else await server.replace(sheetUri(), text, version + 1)
      await server.until(`findings of version ${version + 1}`, () => server.published.some(one => one.uri === sheetUri() && one.version === version + 1 && one.diagnostics.length > 0))
    }
  })
})

describe('a tool under the pointer', () => {
  const hovered = async (pictures: boolean) => {
    server = new LanguageServerUnderTest(bundle.path)
    await server.initialize({ pictures })
    await openJson(sheetUri(), job.sheet)
    await server.open(job.uri('plate.nc'), job.program)
    const ask = async (uri: string, text: string, words: string) => {
      const lines = text.split('\n'), line = lines.findIndex(one => one.includes(words))
      const answer = await server.connection.sendRequest<{ contents: { value: string } } | null>('textDocument/hover', { textDocument: { uri }, position: { line, character: (lines[line] ?? '').indexOf(words) } })
      return answer?.contents.value
    }
    return { inSheet: await ask(sheetUri(), job.sheet, '"ball 6"'), inProgram: await ask(job.uri('plate.nc'), job.program, 'M6'), elsewhere: await ask(sheetUri(), job.sheet, '"limits"') }
  }

  it('is drawn for a client that shows pictures', async () => {
    const { inSheet, inProgram, elsewhere } = await hovered(true)
    expect(inSheet).toMatch(/^!\[Tool 1 from the side\]\(data:image\/svg\+xml,[^)]+\)\n\nTool 1, ball 6: cutter ball, DC 6 mm/)
    expect(inProgram).toContain(inSheet)
    expect(elsewhere).toBeUndefined()
  })

  it('is told in words to any other', async () => {
    const { inSheet, inProgram } = await hovered(false)
    expect(inSheet).toMatch(/^Tool 1, ball 6: cutter ball, DC 6 mm/)
    expect(inProgram).toContain(inSheet)
    expect(inProgram).not.toContain('data:')
  })
})

describe('a machine file without a program or sheet', () => {
  it('has its faults, and those of the meshes it names', async () => {
    await start()
    const uri = job.uri('duct.machine.json'), text = readFileSync(join(job.folder, 'duct.machine.json'), 'utf8')
    await openJson(uri, text)
    expect(await about(uri, () => true)).toEqual([])
    const changed = text.replace('"range": [-350, 350]', '"range": [350, -350]').replace('"control"', '"bodies": [{ "name": "nose", "on": "Z", "mesh": "nose.stl" }], "control"')
    await server.replace(uri, changed, 2)
    const found = await about(uri, list => list.length === 2)
    expect(found.map(({ code, message }) => [code, message])).toEqual([
      ['setup-error', expect.stringMatching(/the smaller end comes first/)],
      ['mesh-unreadable', expect.stringMatching(/^The mesh of machine body "nose" .*nose\.stl is not there\.$/)],
    ])
    expect(found.map(finding => marked(changed, finding))).toEqual(['[350, -350]', '"nose.stl"'])
  })
})
