import { mkdirSync, symlinkSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import type { CodeAction, Diagnostic } from 'vscode-languageserver/node'
import { OutsideFiles } from '../../server/lsp/outside-files.ts'
import { bundleServer, LanguageServerUnderTest } from '../harness/language-server.ts'
import { PlateJob } from '../harness/plate-job.ts'

// A folder that is not trusted is open, and its sheet names files elsewhere: beside it stand the mesh and the machine file of the job.

let bundle: Awaited<ReturnType<typeof bundleServer>>
let server: LanguageServerUnderTest
let job: PlateJob

beforeAll(async () => { bundle = await bundleServer() })
afterAll(() => bundle.remove())
beforeEach(() => {
  job = new PlateJob()
  mkdirSync(join(job.folder, 'open'))
  job.write('open/plate.setup.json', job.sheet.replace('"plate.stl"', '"../plate.stl"').replace('"duct.machine.json"', '"../duct.machine.json"'))
})
afterEach(() => {
  server.kill()
  job.remove()
})

const uri = () => job.uri('open/plate.nc'), sheetUri = () => job.uri('open/plate.setup.json')

async function start(restricted: boolean): Promise<void> {
  server = new LanguageServerUnderTest(bundle.path)
  await server.initialize({ folder: job.uri('open'), restricted })
  await server.open(uri(), job.program)
}

const has = (rule: string) => (found: readonly Diagnostic[]) => found.some(({ code }) => code === rule)

/** The last findings of the sheet that tell of a file that was left alone. */
function refusals(of: string): Promise<readonly Diagnostic[]> {
  return server.until(`a refusal of ${of}`, () => {
    const found = server.published.filter(one => one.uri === sheetUri()).at(-1)?.diagnostics.filter(({ message }) => typeof message === 'string' && message.includes(of) && message.includes('not trusted: it was not read'))
    return found === undefined || found.length === 0 ? undefined : found
  })
}

async function allow(finding: Diagnostic | undefined): Promise<void> {
  const actions = await server.connection.sendRequest<CodeAction[]>('textDocument/codeAction', { textDocument: { uri: sheetUri() }, range: finding?.range, context: { diagnostics: [finding] } })
  const command = actions.find(({ title }) => title.startsWith('Read '))?.command
  expect(command?.command).toBe('toolwake.allowFile')
  await server.ask('toolwake/allowFile', { path: String(command?.arguments?.[0]) })
}

describe('files outside the open folders', () => {
  it('are read where the folder is trusted', async () => {
    await start(false)
    await server.findings(uri(), 1, has('gouge'))
  })

  it('are left alone in one that is not, until each is allowed; the check is then the same', async () => {
    await start(true)
    const [machine] = await refusals('duct.machine.json')
    expect(machine?.severity).toBe(1)
    await server.done(uri())
    expect(server.published.some(({ diagnostics }) => has('gouge')(diagnostics))).toBe(false)
    await allow(machine)
    const [mesh] = await refusals('plate.stl')
    await allow(mesh)
    await server.findings(uri(), 1, has('gouge'))
  })

  it('are read once the folder is trusted', async () => {
    await start(true)
    await refusals('duct.machine.json')
    await server.ask('toolwake/allowFile', {})
    await server.findings(uri(), 1, has('gouge'))
  })

  it('are no part of a release record, which is then not written', async () => {
    job.write('open/plate.nc', job.program)
    await start(true)
    await server.done(uri())
    await expect(server.ask('toolwake/writeRecord', { uri: uri(), output: join(job.folder, 'open/record.html') })).rejects.toThrow(/outside the open folders, and these are not trusted: no record was written/)
  })
})

describe('what lies outside', () => {
  it('is told by where a link leads, and another computer is never asked', () => {
    server = new LanguageServerUnderTest(bundle.path)
    const files = new OutsideFiles(() => [join(job.folder, 'open')])
    symlinkSync(join(job.folder, 'plate.stl'), join(job.folder, 'open/link.stl'))
    expect(files.mayRead(join(job.folder, 'open/link.stl'))).toBe(true)
    files.restrict()
    const asked = ['open/plate.setup.json', 'open/gone.stl', 'open/link.stl', 'plate.stl', 'open/../plate.stl', 'opener/x.stl'].map(name => files.mayRead(`${job.folder}/${name}`))
    expect(asked).toEqual([true, true, false, false, false, false])
    expect(files.mayRead('//other/share/part.stl')).toBe(false)
    expect(files.mayRead('\\\\other\\share\\part.stl')).toBe(false)
    files.allow(join(job.folder, 'plate.stl'))
    expect(files.mayRead(`${job.folder}/open/../plate.stl`)).toBe(true)
  })
})
