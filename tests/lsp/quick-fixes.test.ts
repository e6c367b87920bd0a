import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest'
import { TextDocument } from 'vscode-languageserver-textdocument'
import type { CodeAction as Action, TextDocumentEdit, TextEdit } from 'vscode-languageserver/node'
import { LanguageServerUnderTest, bundleServer } from '../harness/language-server.ts'

// Fixes through the protocol; what they write is tested in tests/lint/fixes.test.ts.

const uri = 'untitled:Untitled-1'
const program = '%\nO1\nN10 G90 G94 G40 G49 G54\nN20 G0 X10. Y20 Z5.\nN30 G1 X20.\nN40 X30. F300\nM30\n%\n'

let bundle: Awaited<ReturnType<typeof bundleServer>>
let server: LanguageServerUnderTest

beforeAll(async () => { bundle = await bundleServer() })
afterAll(() => bundle.remove())
afterEach(() => server.kill())

async function start(text: string, documentChanges: boolean, commands = true): Promise<void> {
  server = new LanguageServerUnderTest(bundle.path)
  await server.initialize({ commands, capabilities: { workspaceEdit: { documentChanges } } })
  await server.open(uri, text)
}

async function actionsAt(rule: string): Promise<Action[]> {
  const diagnostic = (await server.findings(uri, 1)).find(({ code }) => code === rule)
  return server.connection.sendRequest('textDocument/codeAction', { textDocument: { uri }, range: diagnostic?.range, context: { diagnostics: [diagnostic] } })
}

const all = (only: readonly string[]) => server.connection.sendRequest<Action[]>('textDocument/codeAction', {
  textDocument: { uri }, range: { start: { line: 0, character: 0 }, end: { line: 0, character: 0 } }, context: { diagnostics: [], only },
})

describe('fixes as code actions', () => {
  it('say whether the motion stays, and are for the version they were made for', async () => {
    await start(program, true)
    expect(await actionsAt('missing-decimal-point')).toMatchObject([
      {
        title: 'Write Y20. (keeps the motion)', kind: 'quickfix', isPreferred: true,
        edit: { documentChanges: [{ textDocument: { uri, version: 1 }, edits: [{ range: { start: { line: 3, character: 12 }, end: { line: 3, character: 15 } }, newText: 'Y20.' }] }] },
      },
      { title: 'Explain missing-decimal-point' }, { title: 'Accept missing-decimal-point with a reason…' },
    ])
    const [feed] = await actionsAt('missing-feed')
    expect(feed).toMatchObject({ title: 'Write F300, the next feed of the program (changes what the machine does)' })
    expect(feed?.isPreferred).toBeUndefined()
  })

  it('are offered to a client without our commands and without versioned edits', async () => {
    await start(program, false, false)
    expect(await actionsAt('missing-decimal-point')).toMatchObject([{ edit: { changes: { [uri]: [{ newText: 'Y20.' }] } } }])
  })

  it('are made all at once where they keep the motion and need nobody to decide, and only where somebody asks', async () => {
    await start(program, true)
    for (const only of [['source'], ['source.fixAll'], ['source.fixAll.toolwake']]) {
      const [action, ...others] = await all(only)
      expect(others).toEqual([])
      expect(action?.kind).toBe('source.fixAll.toolwake')
      const { edits } = action?.edit?.documentChanges?.[0] as TextDocumentEdit
      const text = TextDocument.applyEdits(TextDocument.create(uri, '', 1, program), edits as TextEdit[])
      expect(text).toBe(program.replace('Y20 ', 'Y20. '))
    }
    expect(await all(['refactor'])).toEqual([])
    expect(await all(['quickfix'])).toEqual([])
  })

  it('are one piece of text where there are thousands of them', async () => {
    const long = `G21 G17 G90 G94 G40 G49 G54 M3 S1000\n${Array.from({ length: 3000 }, (_, n) => `G1 X${n + 1} F100`).join('\n')}\nM30\n`
    await start(long, true)
    await server.findings(uri, 1)
    const [action] = await all(['source.fixAll'])
    const { edits } = action?.edit?.documentChanges?.[0] as TextDocumentEdit
    expect(edits).toHaveLength(1)
    expect(TextDocument.applyEdits(TextDocument.create(uri, '', 1, long), edits as TextEdit[])).toBe(long.replace(/X(\d+)/g, 'X$1.'))
  })

  it('begin a setup sheet where there is none, as the command line does', async () => {
    await start(program.replace('N20', 'T3 M6\nN20'), true)
    expect((await actionsAt('setup-not-found')).map(({ title }) => title)).toEqual(['Start a setup sheet for this program', 'Explain setup-not-found'])
    expect((await actionsAt('setup-not-found'))[0]).toMatchObject({ command: { command: 'toolwake.startSetupSheet', arguments: [uri] } })
    const { text, tools } = await server.ask('toolwake/draftSetup', { uri })
    expect(tools).toEqual([3])
    expect(text).toContain('"programs": ["PROGRAM.nc"]')
  })
})
