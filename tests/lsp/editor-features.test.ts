import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { CancellationTokenSource } from 'vscode-languageserver/node'
import { LanguageServerUnderTest, bundleServer } from '../harness/language-server.ts'
import { PlateJob } from '../harness/plate-job.ts'

// Each question of the editor, once through the protocol: what is answered is tested in tests/features.

const program = `%
O100 (PLATE)
N10 T1 M6
N20 G21 G17 G90 G94 G54 G43 H1
N30 S8000 M3
(CUT)
N40 G0 X0. Y0. Z5.
N50 G1 X[2*5] F100
N60 M98 P200
N70 GOTO 80
N80 M30
O200
M99
%
`
const uri = 'untitled:Untitled-1'

let bundle: Awaited<ReturnType<typeof bundleServer>>
let server: LanguageServerUnderTest

beforeAll(async () => {
  bundle = await bundleServer()
})
afterAll(() => bundle.remove())

/** Asks about a document; `more`: what else belongs to the question. */
const ask = (method: string, more: object = {}, of = uri) => server.connection.sendRequest(`textDocument/${method}`, { textDocument: { uri: of }, ...more })
const at = (line: number, character: number) => ({ position: { line, character } })

describe('a program without a sheet', () => {
  beforeEach(async () => {
    server = new LanguageServerUnderTest(bundle.path)
    await server.initialize({ configuration: { hints: { modes: true, values: true } }, capabilities: { codeLens: { refreshSupport: true } } })
    await server.open(uri, program)
  })
  afterEach(() => server.kill())

  it('is rewritten in slices: other questions are answered meanwhile, and it can be stopped', async () => {
    await server.replace(uri, Array.from({ length: 60_000 }, (_, i) => `N${i} G1X${i}.`).join('\n'), 2)
    await server.findings(uri, 2)
    const answered: string[] = [], shares: number[] = []
    server.connection.onNotification('toolwake/rewriteProgress', ({ share }: { share: number }) => { shares.push(share) })
    const renumbered = server.ask('toolwake/renumber', { uri, start: 7, step: 7, every: true }).then(answer => {
      answered.push('renumber')
      return answer
    })
    const completed = ask('completion', at(3, 1)).then(() => answered.push('completion'))
    await completed
    expect((await renumbered).edits[0]).toMatchObject({ line: 0, lastLine: 59_999, text: expect.stringMatching(/^N7 G1X0\.\n|^7 G1X0\./) as string })
    expect(answered).toEqual(['completion', 'renumber'])
    expect(shares).toEqual([...shares].sort((a, b) => a - b))
    expect(shares.every(share => share > 0 && share <= 1)).toBe(true)
    const stop = new CancellationTokenSource(), stopped = server.connection.sendRequest('toolwake/tidy', { uri }, stop.token)
    stop.cancel()
    await expect(stopped).rejects.toThrow(/taken back/)
  })

  it('is completed by dialect', async () => {
    const list = await ask('completion', at(7, 6)) as { items: { label: string, textEdit: unknown }[] }
    expect(list.items.find(item => item.label === 'G1')).toMatchObject({
      detail: 'straight cut at the feed', textEdit: { newText: 'G1', range: { start: { line: 7, character: 4 }, end: { line: 7, character: 6 } } },
    })
  })

  it('is completed while the line is typed, before it has been read', async () => {
    await server.edit(uri, 2, 10, 3, 3, ' G8')
    const list = await ask('completion', at(10, 6)) as { items: { label: string }[] }
    expect(list.items.map(item => item.label)).toContain('G83')
  })

  it('has signatures', async () => {
    await server.edit(uri, 2, 10, 3, 3, ' G83 X1. Q')
    expect(await ask('signatureHelp', at(10, 13))).toMatchObject({ signatures: [{ label: 'G83 [X] [Y] Z R Q [L]' }], activeSignature: 0, activeParameter: 4 })
  })

  it('has symbols and folds', async () => {
    expect(await ask('documentSymbol')).toMatchObject([
      { name: 'O100', detail: 'PLATE', children: [{ name: 'T1', selectionRange: { start: { line: 2, character: 4 } }, children: [{ name: 'CUT' }] }] },
      { name: 'O200', range: { start: { line: 11 } } },
    ])
    expect(await ask('foldingRange')).toContainEqual({ startLine: 2, endLine: 10, kind: 'region' })
  })

  it('leads from a jump to its block and back', async () => {
    expect(await ask('definition', at(9, 10))).toEqual([{ uri, range: { start: { line: 10, character: 1 }, end: { line: 10, character: 3 } } }])
    expect(await ask('references', { ...at(10, 2), context: { includeDeclaration: false } })).toMatchObject([{ range: { start: { line: 9, character: 9 } } }])
    expect(await ask('documentHighlight', at(10, 2))).toMatchObject([{ kind: 2 }, { kind: 3 }])
  })

  it('renames a number with its jump, and says in a sentence why it does not', async () => {
    expect(await ask('prepareRename', at(10, 2))).toMatchObject({ placeholder: '80' })
    expect(await ask('rename', { ...at(10, 2), newName: '85' })).toMatchObject({ changes: { [uri]: [{ newText: '85' }, { newText: '85' }] } })
    await expect(ask('rename', { ...at(10, 2), newName: '70' })).rejects.toThrow('N70 is in use in this program already')
    expect(await ask('prepareRename', at(6, 8))).toBeNull()
  })

  it('selects outward', async () => {
    const [range] = await ask('selectionRange', { positions: [{ line: 7, character: 5 }] }) as { range: unknown, parent: unknown }[]
    expect(range).toMatchObject({ range: { start: { line: 7, character: 4 }, end: { line: 7, character: 6 } }, parent: { range: { start: { character: 4 }, end: { character: 18 } } } })
  })

  it('knows who calls whom', async () => {
    const items = await ask('prepareCallHierarchy', at(8, 10)) as object[]
    expect(items).toMatchObject([{ name: 'O200', uri }])
    expect(await server.connection.sendRequest('callHierarchy/incomingCalls', { item: items[0] })).toMatchObject([{ from: { name: 'O100' }, fromRanges: [{ start: { line: 8 } }] }])
    expect(await server.connection.sendRequest('callHierarchy/outgoingCalls', { item: items[0] })).toEqual([])
  })

  it('is coloured by range and as a whole', async () => {
    const whole = await ask('semanticTokens/full') as { data: number[] }
    const range = await ask('semanticTokens/range', { range: { start: { line: 2, character: 0 }, end: { line: 2, character: 9 } } }) as { data: number[] }
    expect(whole.data.length % 5).toBe(0)
    expect(range.data).toEqual([2, 0, 3, 5, 1, 0, 4, 1, 7, 0, 0, 3, 2, 1, 0])
  })

  it('is coloured as it is shown for an editor that can ask for that, and as a whole for one that cannot', async () => {
    const fullFor = async (range: unknown) => {
      const other = new LanguageServerUnderTest(bundle.path)
      const { capabilities } = await other.connection.sendRequest<{ capabilities: { semanticTokensProvider: { range: boolean, full: boolean } } }>('initialize', {
        processId: process.pid, rootUri: null, workspaceFolders: null, capabilities: { textDocument: { semanticTokens: { requests: { range, full: true } } } },
      })
      other.kill()
      return capabilities.semanticTokensProvider
    }
    expect(await fullFor(true)).toMatchObject({ range: true, full: false })
    expect(await fullFor({})).toMatchObject({ range: true, full: false })
    expect(await fullFor(undefined)).toMatchObject({ range: true, full: true })
  })

  it('has hints where the user wants them', async () => {
    const hints = await ask('inlayHint', { range: { start: { line: 0, character: 0 }, end: { line: 13, character: 0 } } })
    expect(hints).toMatchObject([{ label: '= 10', position: { line: 7, character: 13 } }])
  })

  it('has a line above each tool call', async () => {
    expect(await ask('codeLens')).toMatchObject([{ range: { start: { line: 2 } }, command: { command: 'toolwake.showWake', title: expect.stringMatching(/^T1 .*contact not searched/) as string } }])
  })

  it('asks the editor to look again when more is known', async () => {
    const refreshed = new Promise<void>(resolve => server.connection.onRequest('workspace/codeLens/refresh', () => {
      resolve()
      return null
    }))
    await server.edit(uri, 2, 7, 18, 18, '.')
    await refreshed
  })

  it('is tidied and renumbered on command', async () => {
    await server.edit(uri, 2, 9, 3, 4, '')
    expect(await server.ask('toolwake/tidy', { uri })).toEqual({ version: 2, edits: [{ uri, line: 9, from: 0, lastLine: 9, to: 10, text: 'N70 GOTO 80' }] })
    const { edits } = await server.ask('toolwake/renumber', { uri, start: 100, step: 10, every: false })
    expect(edits.filter(edit => edit.line >= 9)).toMatchObject([{ line: 9, text: '160' }, { line: 9, text: '170' }, { line: 10, text: '170' }])
    await server.edit(uri, 3, 9, 7, 10, ' 99')
    expect(await server.ask('toolwake/renumber', { uri, start: 100, step: 10, every: false })).toMatchObject({ edits: [], refused: expect.stringContaining('N99') as string })
  })

  it('of many blocks is rewritten in one piece', async () => {
    const blocks = Array.from({ length: 5000 }, (_, n) => `G1X${n}.`)
    await server.replace(uri, [...blocks, ''].join('\r\n'), 2)
    const { edits } = await server.ask('toolwake/tidy', { uri })
    expect(edits).toHaveLength(1)
    expect(edits[0]).toMatchObject({ line: 0, from: 0, lastLine: 4999, text: blocks.map(block => block.replace('X', ' X')).join('\r\n') })
  })

  it.each(['completion', 'signatureHelp', 'definition', 'references', 'prepareRename', 'hover', 'documentHighlight', 'prepareCallHierarchy'])('%s at a place that is none', async method => {
    for (const position of [{ line: 1e6, character: 0 }, { line: 3, character: 1e6 }, { line: 0, character: 0 }]) {
      await ask(method, { position, context: { includeDeclaration: true } })
    }
    expect(await ask(method, { ...at(0, 0), context: { includeDeclaration: true } }, 'file:///never-opened.nc')).toSatisfy((answer: unknown) => answer === null || Array.isArray(answer) && answer.length === 0)
  })
})

describe('a program with its sheet', () => {
  let job: PlateJob
  beforeEach(async () => {
    job = new PlateJob()
    server = new LanguageServerUnderTest(bundle.path)
    await server.initialize({ folder: job.uri('') })
  })
  afterEach(() => {
    server.kill()
    job.remove()
  })

  it('has the figures of the search above its tool, and marks beside its blocks', async () => {
    const plate = job.uri('plate.nc')
    await server.open(plate, job.program)
    await server.done(plate)
    expect(await ask('codeLens', {}, plate)).toMatchObject([{ command: { title: expect.stringMatching(/^T1 ball 6 .*1 finding .* s at the programmed feeds .*cutter 0\.05\d mm deep ±0\.001 .*holder > 4\.998 mm$/) as string } }])
    const { marks } = await server.ask('toolwake/clearanceMarks', { uri: plate, first: 0, last: 100 })
    expect(marks.find(({ line }) => line === job.lineOf('N130'))?.mark).toBe('broken')
    expect(marks.find(({ line }) => line === job.lineOf('N100'))?.mark).toBe('kept')
  })

  it('asks the editor anew for the line above its tool until that tells what a search under other settings has found', async () => {
    const plate = job.uri('plate.nc'), told: string[] = []
    let epsilon = 0.002
    server.kill()
    server = new LanguageServerUnderTest(bundle.path)
    server.connection.onRequest('workspace/configuration', ({ items }: { items: unknown[] }) => items.map(() => ({ contact: { epsilon } })))
    const refreshed = new Promise<void>(resolve => server.connection.onRequest('workspace/codeLens/refresh', () => {
      void ask('codeLens', {}, plate).then(lenses => {
        told.push((lenses as { command: { title: string } }[])[0]?.command.title ?? '')
        if (/±0\.002/.test(told.at(-1) ?? '')) resolve()
      })
      return null
    }))
    await server.initialize({ folder: job.uri(''), capabilities: { configuration: true, codeLens: { refreshSupport: true } } })
    await server.open(plate, job.program)
    await server.done(plate)
    epsilon = 0.004
    await server.connection.sendNotification('workspace/didChangeConfiguration', { settings: null })
    expect(await ask('codeLens', {}, plate)).toMatchObject([{ command: { title: expect.not.stringMatching(/±0\.001/) as string } }])
    await refreshed
    expect(told.at(-1)).toMatch(/1 finding .*cutter 0\.05\d mm deep ±0\.002/)
  })

  it('leads from its tool to the sheet, and from a call to the file', async () => {
    job.write('o9001.nc', 'M99\n')
    const text = job.program.replace('M30', 'M98 P9001\nM30'), plate = job.uri('plate.nc')
    await server.open(plate, text)
    await server.done(plate)
    const tool = text.split('\n').findIndex(line => /T1\b/.test(line)), call = text.split('\n').findIndex(line => line.includes('P9001'))
    const column = text.split('\n')[tool].indexOf('T1')
    expect(await ask('definition', at(tool, column + 1), plate)).toMatchObject([{ uri: job.uri('plate.setup.json') }])
    const word = text.split('\n')[call].indexOf('P9001')
    expect(await ask('definition', at(call, word + 2), plate)).toMatchObject([{ uri: job.uri('o9001.nc') }])
    expect(await ask('documentLink', {}, plate)).toMatchObject([{ target: job.uri('o9001.nc'), range: { start: { line: call, character: word } } }])
  })

  it('leads from its sheet to the files that are named there', async () => {
    const sheet = job.uri('plate.setup.json')
    await server.open(sheet, job.sheet)
    const links = await ask('documentLink', {}, sheet) as { readonly target: string }[]
    expect(links.map(({ target }) => target)).toEqual(expect.arrayContaining([job.uri('duct.machine.json'), job.uri('plate.stl')]))
  })

  it('takes the numbers of the sheet along when it is renumbered', async () => {
    job.write('plate.setup.json', job.sheet.replace('"limits": { "gouge": 0.01 }', '"limits": { "gouge": 0.01 }, "passes": [{ "from": "N90", "to": "N100", "limits": { "gouge": 0.005 } }]'))
    const plate = job.uri('plate.nc')
    await server.open(plate, job.program)
    await server.done(plate)
    const { edits } = await server.ask('toolwake/renumber', { uri: plate, start: 1, step: 1, every: false })
    expect(edits.filter(edit => edit.uri === job.uri('plate.setup.json')).map(edit => edit.text)).toEqual(['9', '10'])
  })
})
