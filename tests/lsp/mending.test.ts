import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import type { CodeAction } from 'vscode-languageserver/node'
import { LanguageServerUnderTest, bundleServer } from '../harness/language-server.ts'
import { PlateJob } from '../harness/plate-job.ts'

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

/** A client that fetches the change of a quick fix later, and lays it before its user. */
async function start(annotates = true): Promise<string> {
  server = new LanguageServerUnderTest(bundle.path)
  await server.initialize({
    capabilities: annotates ? { workspaceEdit: { documentChanges: true, changeAnnotationSupport: {} } } : {},
    textDocument: { codeAction: { dataSupport: true, resolveSupport: { properties: ['edit'] } } },
  })
  const uri = job.uri('plate.nc')
  await server.open(uri, job.program)
  await server.done(uri)
  return uri
}

async function mendAction(uri: string): Promise<CodeAction> {
  const gouge = (await server.findings(uri, 1, found => found.some(one => one.code === 'gouge'))).find(one => one.code === 'gouge')
  const actions = await server.connection.sendRequest<CodeAction[]>('textDocument/codeAction', { textDocument: { uri }, range: gouge?.range, context: { diagnostics: [gouge] } })
  const action = actions.find(({ title }) => title.startsWith('Mend gouge'))
  if (action === undefined) throw new Error(`no mend among ${actions.map(({ title }) => title).join(', ')}`)
  return action
}

describe('a mend as a quick fix', () => {
  it('is worked out when it is chosen, as one change that is to be confirmed, with its proven figure', async () => {
    const uri = await start(), action = await mendAction(uri)
    expect(action.edit).toBeUndefined()
    const resolved = await server.connection.sendRequest<CodeAction>('codeAction/resolve', action)
    const line = job.lineOf('N130')
    expect(resolved.edit?.documentChanges).toMatchObject([{
      textDocument: { uri, version: 1 },
      edits: [{ range: { start: { line, character: 10 }, end: { line, character: 16 } }, newText: 'Z0.', annotationId: 'mend' }],
    }])
    expect(resolved.edit?.changeAnnotations?.['mend']).toMatchObject({
      needsConfirmation: true, label: expect.stringMatching(/^lift: 0\.040 mm/) as string, description: expect.stringMatching(/\(proven\)/) as string,
    })
  })

  it('changes the text directly where the client cannot show it first', async () => {
    const uri = await start(false), resolved = await server.connection.sendRequest<CodeAction>('codeAction/resolve', await mendAction(uri))
    expect(resolved.edit?.changeAnnotations).toBeUndefined()
    expect(resolved.edit?.documentChanges).toHaveLength(1)
  })

  it('of a program that has changed since is refused, and so is one that would do nothing', async () => {
    const uri = await start(), action = await mendAction(uri)
    await server.edit(uri, 2, 0, 0, 0, '(A COMMENT)\n')
    await expect(server.connection.sendRequest('codeAction/resolve', action)).rejects.toThrow(/has changed since/)
  })

  it('is not offered to a client that cannot fetch it later', async () => {
    server = new LanguageServerUnderTest(bundle.path)
    await server.initialize()
    const uri = job.uri('plate.nc')
    await server.open(uri, job.program)
    await expect(mendAction(uri)).rejects.toThrow(/no mend among Explain gouge, Accept gouge/)
  })
})
