import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest'
import { LanguageServerUnderTest, bundleServer, rulesOf } from '../harness/language-server.ts'

// The server as it is shipped, over its standard streams: programs without a setup sheet.

const uri = 'untitled:Untitled-1'
const withoutFeed = '%\nG21 G17 G90 G94 G40 G49 G80 G54\nT1 M6\nS8000 M3\nG0 X0. Y0. Z5.\nG1 X10.\nM30\n%\n'
const line = withoutFeed.split('\n').indexOf('G1 X10.')

let bundle: Awaited<ReturnType<typeof bundleServer>>
let server: LanguageServerUnderTest

beforeAll(async () => {
  bundle = await bundleServer()
})
afterAll(() => bundle.remove())
afterEach(() => server.kill())

async function start(configuration?: unknown): Promise<void> {
  server = new LanguageServerUnderTest(bundle.path)
  await server.initialize({ configuration })
}

describe('a program in the editor', () => {
  it('has its finding on the word that causes it', async () => {
    await start()
    await server.open(uri, withoutFeed)
    const found = await server.findings(uri, 1)
    const feed = found.find(one => one.code === 'missing-feed')
    expect(feed).toMatchObject({ source: 'toolwake', severity: 1, range: { start: { line, character: 0 }, end: { line, character: 2 } } })
  })

  it('loses the finding when an edit mends it, and gets it back when the edit is undone', async () => {
    await start()
    await server.open(uri, withoutFeed)
    await server.findings(uri, 1, found => rulesOf(found).includes('missing-feed'))
    await server.edit(uri, 2, line, 7, 7, ' F200.')
    await server.findings(uri, 2, found => !rulesOf(found).includes('missing-feed'))
    await server.edit(uri, 3, line, 7, 13, '')
    await server.findings(uri, 3, found => rulesOf(found).includes('missing-feed'))
  })

  it('never shows findings of a text that has been replaced', async () => {
    await start()
    await server.open(uri, withoutFeed)
    for (let version = 2; version <= 40; version++) await server.edit(uri, version, line, 7, 7, version % 2 === 0 ? ' ' : '1')
    await server.findings(uri, 40)
    const versions = server.published.map(one => one.version ?? 0)
    expect(versions).toEqual([...versions].sort((a, b) => a - b))
    // A flurry is gathered: far fewer lists than edits.
    expect(versions.length).toBeLessThan(20)
  })

  it('says that nothing was simulated when no setup sheet belongs to it', async () => {
    await start()
    await server.open(uri, withoutFeed)
    const status = await server.done(uri)
    expect(status).toMatchObject({ phase: 'done', message: expect.stringContaining('no setup sheet') as string })
    expect(rulesOf(await server.findings(uri, 1))).toContain('setup-not-found')
  })

  it('leaves nothing behind when it is closed', async () => {
    await start()
    await server.open(uri, withoutFeed)
    await server.findings(uri, 1)
    await server.connection.sendNotification('textDocument/didClose', { textDocument: { uri } })
    await server.until('an empty list', () => server.published.at(-1)?.diagnostics.length === 0)
  })

  it('has the levels the user set', async () => {
    await start({ rules: { 'missing-feed': 'note', 'setup-not-found': 'off' } })
    await server.open(uri, withoutFeed)
    const found = await server.findings(uri, 1)
    expect(found.find(one => one.code === 'missing-feed')?.severity).toBe(3)
    expect(rulesOf(found)).not.toContain('setup-not-found')
  })

  it.each([
    ['nothing', ''],
    ['line ends alone', '\r\n\r\r\n\n'],
    ['no program at all', '\u0000\u0001\ufffd'.repeat(5000)],
    ['one line without end', `G1 ${'X1. '.repeat(200_000)}`],
    ['halves of characters', 'G1 X\ud800 Y\udfff\n'.repeat(50)],
    ['numbers beyond all numbers', `G1 X${'9'.repeat(400)} F-${'1'.repeat(400)}\nG2 X1e99 I${'0'.repeat(4000)}.\n`],
  ])('may hold %s', async (_, text) => {
    await start()
    await server.open(uri, text)
    await server.findings(uri, 1)
    await server.replace(uri, withoutFeed, 2)
    await server.findings(uri, 2, found => rulesOf(found).includes('missing-feed'))
  })
})

describe('while a long program is read', () => {
  const long = Array.from({ length: 300_000 }, (_, i) => `N${i + 1} G1 X${i % 100}. F500`).join('\n'), other = 'untitled:other'
  const isRead = () => server.until('reading told', () => server.statuses.some(one => one.uri === uri && one.phase === 'reading'))

  it('it is told how far that is, and what is asked of another is answered', async () => {
    await start()
    await server.open(other, withoutFeed)
    await server.findings(other, 1)
    await server.open(uri, long)
    await isRead()
    const hover = await server.connection.sendRequest('textDocument/hover', { textDocument: { uri: other }, position: { line, character: 1 } })
    expect(hover).not.toBeNull()
    expect(server.published.filter(one => one.uri === uri)).toEqual([])
    await server.findings(uri, 1)
    expect(server.statuses.find(one => one.phase === 'reading')?.message).toMatch(/^reading the program, \d+ %$/)
  })

  it('an edit ends that, and only the new text is told of', async () => {
    await start()
    await server.open(uri, long)
    await isRead()
    await server.replace(uri, withoutFeed, 2)
    await server.findings(uri, 2, found => rulesOf(found).includes('missing-feed'))
    expect(server.published.filter(one => one.uri === uri && one.version === 1)).toEqual([])
  })
})

describe('the server', () => {
  it('answers what it cannot do, and lives on', async () => {
    await start()
    await server.open(uri, withoutFeed)
    await expect(server.ask('toolwake/scene', { uri: 'untitled:never-opened' })).rejects.toThrow(/not open/)
    await expect(server.connection.sendRequest('toolwake/noSuchThing', {})).rejects.toThrow()
    await expect(server.connection.sendRequest('toolwake/poseAt', null)).rejects.toThrow()
    await expect(server.connection.sendRequest('toolwake/acceptance', { uri, rule: 5, line: 'x' })).rejects.toThrow()
    expect(await server.connection.sendRequest('textDocument/hover', { textDocument: { uri: 'file:///nowhere.nc' }, position: { line: 0, character: 0 } })).toBeNull()
    expect(await server.connection.sendRequest('textDocument/hover', { textDocument: { uri }, position: { line: -5, character: 1e9 } })).toBeNull()
    await server.connection.sendNotification('textDocument/didChange', { textDocument: { uri: 'file:///nowhere.nc', version: 9 }, contentChanges: [{ text: 'x' }] })
    await server.connection.sendNotification('workspace/didChangeWatchedFiles', { changes: [{ uri: 'file://%%%', type: 2 }] })
    await server.connection.sendNotification('toolwake/noSuchNews', [1, 2])
    await server.replace(uri, withoutFeed, 2)
    await server.findings(uri, 2, found => rulesOf(found).includes('missing-feed'))
  })

  it('lives on when a message is no message', async () => {
    await start()
    const body = '{"jsonrpc":"2.0", this is not JSON'
    server.process.stdin.write(`Content-Length: ${body.length}\r\n\r\n${body}`)
    await server.open(uri, withoutFeed)
    await server.findings(uri, 1, found => rulesOf(found).includes('missing-feed'))
  })

  it('hands out the page of a rule, and nothing for a rule it does not know', async () => {
    await start()
    const { markdown } = await server.ask('toolwake/rulePage', { rule: 'missing-feed' })
    expect(markdown).toContain('## missing-feed')
    expect(await server.ask('toolwake/rulePage', { rule: 'no-such-rule' })).toEqual({})
  })

  it('explains a word', async () => {
    await start()
    await server.open(uri, withoutFeed)
    const hover = await server.connection.sendRequest('textDocument/hover', { textDocument: { uri }, position: { line, character: 1 } })
    expect(hover).toMatchObject({
      contents: { kind: 'markdown', value: expect.stringMatching(/^\*\*G1\*\*: .*feed/) as string },
      range: { start: { line, character: 0 }, end: { line, character: 2 } },
    })
  })

  it('writes the comment that accepts a finding, which then is a hint with the reason', async () => {
    await start()
    await server.open(uri, withoutFeed)
    const answer = await server.ask('toolwake/acceptance', { uri, rule: 'missing-feed', line, reason: 'FEED SET AT THE PANEL' })
    expect(answer).toEqual({ version: 1, line, character: 0, text: '(ACCEPT missing-feed: FEED SET AT THE PANEL)\n' })
    await server.edit(uri, 2, answer.line, answer.character, answer.character, answer.text)
    const found = await server.findings(uri, 2)
    expect(found.find(one => one.code === 'missing-feed')).toMatchObject({
      severity: 4, message: expect.stringContaining('FEED SET AT THE PANEL') as string, range: { start: { line: line + 1 } },
    })
  })

  it('offers the rule\'s page and the acceptance at a finding', async () => {
    await start()
    await server.open(uri, withoutFeed)
    const feed = (await server.findings(uri, 1)).find(one => one.code === 'missing-feed')
    const actions = await server.connection.sendRequest('textDocument/codeAction', { textDocument: { uri }, range: feed?.range, context: { diagnostics: [feed] } })
    expect(actions).toMatchObject([
      { command: { command: 'toolwake.explainFinding', arguments: ['missing-feed'] } },
      { command: { command: 'toolwake.acceptFinding', arguments: [uri, 'missing-feed', line] } },
    ])
  })

  it('ends with 0 after a shutdown, with 1 without one', async () => {
    await start()
    expect(await server.stop()).toBe(0)
    await start()
    await server.connection.sendNotification('exit')
    expect(await server.ended).toBe(1)
  })

  it('ends when its client is gone', async () => {
    await start()
    await server.open(uri, withoutFeed)
    server.process.stdin.end()
    expect(await server.ended).not.toBeNull()
  })

  it('says in a line how it wants to be started', async () => {
    server = new LanguageServerUnderTest(bundle.path, [])
    expect(await server.ended).toBe(2)
    expect(server.log.join('')).toMatch(/--stdio/)
  })
})
