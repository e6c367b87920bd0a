import { rmSync } from 'node:fs'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { CancellationTokenSource, type CodeAction } from 'vscode-languageserver/node'
import { LanguageServerUnderTest, bundleServer } from '../harness/language-server.ts'
import { PlateJob } from '../harness/plate-job.ts'
import { PlateWithStop } from '../harness/plate-with-stop.ts'
import { SideJob } from '../harness/side-job.ts'

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
async function start(annotates = true, program = job.program): Promise<string> {
  server = new LanguageServerUnderTest(bundle.path)
  await server.initialize({
    commands: false,
    capabilities: annotates ? { workspaceEdit: { documentChanges: true, changeAnnotationSupport: {} } } : {},
    textDocument: { codeAction: { dataSupport: true, resolveSupport: { properties: ['edit'] } } },
  })
  const uri = job.uri('plate.nc')
  await server.open(uri, program)
  await server.done(uri)
  return uri
}

async function mendAction(uri: string, code = 'gouge'): Promise<CodeAction> {
  const gouge = (await server.findings(uri, 1, found => found.some(one => one.code === code))).find(one => one.code === code)
  const actions = await server.connection.sendRequest<CodeAction[]>('textDocument/codeAction', { textDocument: { uri }, range: gouge?.range, context: { diagnostics: [gouge] } })
  const action = actions.find(({ title }) => title.startsWith(`Mend ${code}`))
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
      needsConfirmation: true, label: expect.stringMatching(/^lift: 0\.050 mm/) as string, description: expect.stringMatching(/\(proven\)/) as string,
    })
  })

  it('says what its proof does not reach', async () => {
    const uri = await start(), resolved = await server.connection.sendRequest<CodeAction>('codeAction/resolve', await mendAction(uri))
    expect(resolved.edit?.changeAnnotations?.['mend'].description).toMatch(/; not checked again: .*the stock \(the sheet states none\), what is left on the part \(/)
  })

  it('is refused where it would leave material standing that the sheet asks about, and the stock runs as before', async () => {
    const stop = new PlateWithStop()
    job.remove()
    job = stop
    job.write('plate.setup.json', stop.sheetWith(', "leftover": 0.05', '"stock": { "box": { "min": [0, 0, -10], "max": [40, 30, 0.5] }, "pitch": 0.2 },\n  '))
    const uri = await start(true, stop.path)
    await server.findings(uri, 1, found => found.some(({ code }) => code === 'leftover'))
    await expect(server.connection.sendRequest('codeAction/resolve', await mendAction(uri, 'barrier-crossed'))).rejects.toThrow(/barrier-crossed was not mended\. .*end-at: (?:leftover|undercut-unreached): /)
    const resolved = await server.connection.sendRequest<CodeAction>('codeAction/resolve', await mendAction(uri))
    expect(resolved.edit?.changeAnnotations?.['mend'].description).not.toMatch(/the stock|what is left/)
    // The mended text has run through the stock since: the picture shows that of the text as it stands.
    const { triangles } = await server.connection.sendRequest<{ triangles?: number }>('toolwake/stockAt', { uri, line: 16 })
    expect(triangles).toBeGreaterThan(0)
  })

  it('that is called off ends, and the next one is worked out', async () => {
    const uri = await start(), action = await mendAction(uri), stop = new CancellationTokenSource()
    const called = server.connection.sendRequest('codeAction/resolve', action, stop.token)
    stop.cancel()
    await expect(called).rejects.toThrow(/called off/)
    expect((await server.connection.sendRequest<CodeAction>('codeAction/resolve', action)).edit).toBeDefined()
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
    await server.initialize({ commands: false })
    const uri = job.uri('plate.nc')
    await server.open(uri, job.program)
    await expect(mendAction(uri)).rejects.toThrow(/^no mend among Set limits\.gouge to 0\.053 mm in the setup sheet \(allows this; every motion stays\)$/)
  })
})

describe('a mend that our own extension shows', () => {
  async function openOurs(): Promise<string> {
    server = new LanguageServerUnderTest(bundle.path)
    await server.initialize()
    const uri = job.uri('plate.nc')
    await server.open(uri, job.program)
    return uri
  }

  async function startOurs(): Promise<string> {
    const uri = await openOurs()
    await server.done(uri)
    return uri
  }

  it('is a command, and what it asks for is the mended text with its edits and figures', async () => {
    const uri = await startOurs(), line = job.lineOf('N130'), action = await mendAction(uri)
    expect(action).toMatchObject({ command: { command: 'toolwake.showMend', arguments: [uri, 'gouge', line] } })
    const answer = await server.ask('toolwake/mend', { uri, rule: 'gouge', line })
    if ('refused' in answer) throw new Error(answer.refused)
    expect(answer).toMatchObject({ document: uri, version: 1, label: expect.stringMatching(/^lift: 0\.050 mm/) as string, description: expect.stringMatching(/0\.\d{3} mm deep ± 0\.001 \(proven\)/) as string })
    const { edits: [{ from, to, text }], edits: { length } } = answer, lines = job.program.split('\n')
    expect(length).toBe(1)
    lines[line] = lines[line].slice(0, from) + text + lines[line].slice(to)
    expect(answer.text).toBe(lines.join('\n'))
    // The viewer is told that what it compares with is the later one.
    const other = await server.ask('toolwake/otherVersion', { uri, text: answer.text, name: 'the mended program', mend: answer.label })
    expect(other).toMatchObject({ mend: answer.label, changes: [{ lines: [line, line + 1], turned: { value: expect.closeTo(0, 9) as number } }] })
  })

  it('waits for the end of the search, and can be called off while it waits', async () => {
    const uri = await openOurs(), line = job.lineOf('N130'), stop = new CancellationTokenSource()
    const called = server.connection.sendRequest('toolwake/mend', { uri, rule: 'gouge', line }, stop.token), waits = server.ask('toolwake/mend', { uri, rule: 'gouge', line })
    stop.cancel()
    await expect(called).rejects.toThrow(/taken back/)
    expect(await waits).toMatchObject({ label: expect.stringMatching(/^lift: /) as string })
  })

  it('is worked out too where the stock cannot be used, which is said', async () => {
    job.write('plate.setup.json', job.sheet.replace('"limits"', '"stock": { "mesh": "gone.stl", "units": "mm" },\n  "limits"'))
    const uri = await startOurs()
    const answer = await server.ask('toolwake/mend', { uri, rule: 'gouge', line: job.lineOf('N130') })
    expect(answer).toMatchObject({ description: expect.stringContaining('not checked again: ') as string })
    expect(answer).toMatchObject({ description: expect.stringContaining('the stock (a fault of ours, or the sheet cannot be used for it)') as string })
  })

  it('is refused in a sentence where there is none', async () => {
    const uri = await startOurs()
    expect(await server.ask('toolwake/mend', { uri, rule: 'gouge', line: 0 })).toEqual({ refused: 'There is no gouge in this line any more.' })
    expect(await server.ask('toolwake/mend', { uri, rule: 'missing-feed', line: 0 })).toEqual({ refused: 'missing-feed is not a matter of the path: no mend is worked out for it.' })
  })
  it('is the sheet with the stick-out, where no path helps', async () => {
    const side = new SideJob()
    try {
      side.write('side.setup.json', side.sheetWith('layer.stl'))
      for (const name of ['clear.setup.json', 'ledge.setup.json']) rmSync(join(side.folder, name))
      server = new LanguageServerUnderTest(bundle.path)
      await server.initialize({ folder: pathToFileURL(side.folder).toString() })
      const uri = side.uri('side.nc')
      await server.open(uri, side.program)
      const [{ range: { start: { line } } }] = (await server.findings(uri, 1, found => found.some(({ code }) => code === 'leftover'))).filter(({ code, message }) => code === 'holder-contact' && String(message).includes('part'))
      const answer = await server.ask('toolwake/mend', { uri, rule: 'holder-contact', line })
      expect(answer).toMatchObject({
        document: side.uri('side.setup.json'), text: side.sheetWith('layer.stl').replace('"LPR": 14', '"LPR": 16.1'), label: 'tool 1: stick-out 16.1 mm instead of 14',
        description: 'its holder then keeps its distance in the whole program (proven); not checked again: fixtures (the sheet names none), the bodies of the machine (the machine file has none)',
      })
    } finally {
      side.remove()
    }
  })
})
