import { join } from 'node:path'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { TextDocument } from 'vscode-languageserver-textdocument'
import type { CodeAction, TextDocumentEdit, TextEdit } from 'vscode-languageserver/node'
import { LanguageServerUnderTest, bundleServer } from '../harness/language-server.ts'
import { PlateJob } from '../harness/plate-job.ts'

// What is written into the sheet is tested in tests/features/extend-sheet.test.ts.

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

/** The program of the job with another tool, or another work offset, than the sheet gives. */
async function start(from: string, to: string, documentChanges = true): Promise<string> {
  server = new LanguageServerUnderTest(bundle.path)
  await server.initialize({ capabilities: { workspaceEdit: { documentChanges } } })
  const uri = job.uri('plate.nc')
  await server.open(uri, job.program.replace(from, to))
  return uri
}

async function additionAt(uri: string, rule: string): Promise<CodeAction | undefined> {
  const finding = (await server.findings(uri, 1, found => found.some(one => one.code === rule))).find(one => one.code === rule)
  const actions = await server.connection.sendRequest<CodeAction[]>('textDocument/codeAction', { textDocument: { uri }, range: finding?.range, context: { diagnostics: [finding] } })
  return actions.find(({ title }) => title.startsWith('Add '))
}

const openSheet = (text: string) => server.connection.sendNotification('textDocument/didOpen', { textDocument: { uri: job.uri('plate.setup.json'), languageId: 'jsonc', version: 5, text } })

function applied(text: string, edits: readonly TextEdit[] | undefined): string {
  return TextDocument.applyEdits(TextDocument.create('', '', 0, text), [...edits ?? []])
}

describe('what the sheet lacks, as a quick fix', () => {
  it('is written into the sheet, and the finding becomes one about values still missing', async () => {
    const uri = await start('T1 M6', 'T4 M6'), action = await additionAt(uri, 'tool-not-in-setup')
    expect(action).toMatchObject({ title: 'Add tool 4 to the setup sheet, to be filled in', kind: 'quickfix' })
    expect(action?.isPreferred).toBeUndefined()
    const [change, ...others] = action?.edit?.documentChanges as TextDocumentEdit[]
    expect(others).toEqual([])
    expect(change?.textDocument).toEqual({ uri: job.uri('plate.setup.json'), version: null })
    const sheet = applied(job.sheet, change?.edits as TextEdit[])
    expect(sheet).toMatch(/"number": 4, "name": "tool 4"/)
    await openSheet(sheet)
    await server.findings(uri, 1, found => !found.some(one => one.code === 'tool-not-in-setup'))
    await server.until('findings in the sheet', () => server.published.some(one => one.uri === job.uri('plate.setup.json') && one.diagnostics.some(({ code }) => code === 'setup-error')))
  })

  it('is told in the plain form to a client that takes no other', async () => {
    const uri = await start('G54', 'G55', false), action = await additionAt(uri, 'unset-work-offset')
    expect(action?.title).toBe('Add G55 to the offsets of the setup sheet, to be filled in')
    expect(action?.edit?.documentChanges).toBeUndefined()
    expect(applied(job.sheet, action?.edit?.changes?.[job.uri('plate.setup.json')])).toContain('"G55": { "X": null, "Y": null, "Z": null, "A": null, "C": null }')
  })

  it('names the version of a sheet that is open', async () => {
    const uri = await start('T1 M6', 'T4 M6')
    await additionAt(uri, 'tool-not-in-setup')
    await openSheet(job.sheet)
    const action = await additionAt(uri, 'tool-not-in-setup')
    expect(action?.edit?.documentChanges).toMatchObject([{ textDocument: { uri: job.uri('plate.setup.json'), version: 5 } }])
  })
})

describe('the limit of a finding, as a quick fix', () => {
  it('is set in the sheet to what the block does, and the finding is no more', async () => {
    const uri = await start('', ''), gouge = (await server.findings(uri, 1, found => found.some(({ code }) => code === 'gouge'))).find(({ code }) => code === 'gouge')
    const actions = await server.connection.sendRequest<CodeAction[]>('textDocument/codeAction', { textDocument: { uri }, range: gouge?.range, context: { diagnostics: [gouge] } })
    const action = actions.find(({ title }) => title.startsWith('Set '))
    // The dip is 0.05 mm deep, proven to 0.001.
    expect(action).toMatchObject({ title: expect.stringMatching(/^Set limits\.gouge to 0\.05[0-3] mm in the setup sheet \(allows this; every motion stays\)$/) as string, kind: 'quickfix' })
    expect(action?.isPreferred).toBeUndefined()
    const [change] = action?.edit?.documentChanges as TextDocumentEdit[]
    expect(change?.textDocument.uri).toBe(job.uri('plate.setup.json'))
    const seen = server.statuses.length
    await openSheet(applied(job.sheet, change?.edits as TextEdit[]))
    expect((await server.done(uri, seen)).message).toMatch(/^checked/)
    await server.findings(uri, 1, found => !found.some(({ code }) => code === 'gouge'))
  })
})

describe('several sheets that would serve a program', () => {
  const several = (found: readonly { readonly code?: number | string }[]) => found.some(({ code }) => code === 'several-setups')

  beforeEach(() => {
    job.write('plate.setup.json', job.sheet.replace('"plate.nc"', '"*.nc"'))
    // In this one the plate lies 1 mm higher, so that more is cut.
    job.write('high.setup.json', job.sheet.replace('"plate.nc"', '"pl*.nc"').replace('"mesh": "plate.stl"', '"mesh": "plate.stl", "translate": [0, 0, 1]'))
  })

  async function startWith(setupSheets: object): Promise<string> {
    server = new LanguageServerUnderTest(bundle.path)
    await server.initialize({ folder: job.uri(''), configuration: { setupSheets } })
    await server.open(job.uri('plate.nc'), job.program)
    return job.uri('plate.nc')
  }

  it('are told with the one that was taken, and another can be chosen', async () => {
    const uri = await startWith({})
    const note = (await server.findings(uri, 1, several)).find(({ code }) => code === 'several-setups')
    expect(note).toMatchObject({ severity: 3, message: expect.stringContaining('plate.setup.json was taken; nothing was checked with high.setup.json.') as string })
    const actions = await server.connection.sendRequest<CodeAction[]>('textDocument/codeAction', { textDocument: { uri }, range: note?.range, context: { diagnostics: [note] } })
    expect(actions[0]).toMatchObject({ title: 'Choose the setup sheet of this program…', command: { command: 'toolwake.chooseSetupSheet', arguments: [uri] } })
    expect(await server.ask('toolwake/setupSheet', { uri })).toEqual({ path: join(job.folder, 'plate.setup.json'), serving: [join(job.folder, 'plate.setup.json'), join(job.folder, 'high.setup.json')] })
    expect((await server.done(uri)).sheet).toBe(join(job.folder, 'plate.setup.json'))
  })

  it('are no matter of doubt once the settings name one for the program, which is then checked with that one', async () => {
    const uri = await startWith({ 'plate.nc': 'high.setup.json', 'other.nc': 'plate.setup.json' })
    await server.done(uri)
    const found = await server.findings(uri, 1)
    expect(several(found)).toBe(false)
    expect(found.filter(({ code }) => code === 'gouge').map(({ message }) => message).join()).toMatch(/1\.05/)
    expect((await server.ask('toolwake/setupSheet', { uri })).path).toBe(join(job.folder, 'high.setup.json'))
  })
})
