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
