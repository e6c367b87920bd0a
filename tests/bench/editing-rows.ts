import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { LanguageServerUnderTest } from '../harness/language-server.ts'
import { boreMesh, boreProgram, boreSheet, boreStl } from './bore.ts'
import { editingSession } from './editing-session.ts'
import { quantile } from './measure.ts'
import type { Row } from './report.ts'

const seed = 2027

/** How long a whole search may take, ms. */
const patience = 600_000

interface Times { readonly completion: number[], readonly findings: number[], readonly contact: number[], readonly hover: number[], readonly symbols: number[], readonly empty: number[] }

/**
 * How long the server keeps an editor waiting through the protocol, over a session of edits: completion after each letter; after
 * each pause the findings of the text, those of contact with a part of `triangles`, and a hover. The peer is a question to the
 * same server that is answered at once. `script`: the bundled server.
 */
export async function editingRows(script: string, { blocks, edits, triangles }: { readonly blocks: number, readonly edits: number, readonly triangles: number }): Promise<Row[]> {
  const server = new LanguageServerUnderTest(script), folder = mkdtempSync(join(tmpdir(), 'toolwake-session-')), text = boreProgram(blocks)
  try {
    writeFileSync(join(folder, 'bore.setup.json'), boreSheet)
    writeFileSync(join(folder, 'bore.stl'), boreStl(boreMesh(triangles)))
    await server.initialize({ folder: pathToFileURL(folder).href, keptIn: join(folder, 'kept') })
    const times = await runSession(server, pathToFileURL(join(folder, 'bore.nc')).href, text, edits)
    const name = (what: string) => `${what}, ${blocks.toLocaleString('en-GB')} blocks`
    return [
      rowOf(name('completion after a letter'), times.completion, times.empty, 0.5),
      rowOf(name('completion after a letter, 99th percentile'), times.completion, times.empty, 0.99),
      rowOf(name('text findings after a pause'), times.findings, times.empty, 0.5),
      rowOf(name('text findings after a pause, 99th percentile'), times.findings, times.empty, 0.99),
      rowOf(name('contact searched after a pause'), times.contact, times.empty, 0.5),
      rowOf(name('hover after a pause'), times.hover, times.empty, 0.5),
      rowOf(name('outline after a pause'), times.symbols, times.empty, 0.5),
    ]
  } finally {
    server.kill()
    rmSync(folder, { recursive: true, force: true })
  }
}

async function runSession(server: LanguageServerUnderTest, uri: string, text: string, edits: number): Promise<Times> {
  const times: Times = { completion: [], findings: [], contact: [], hover: [], symbols: [], empty: [] }
  const timed = async (into: number[], work: () => Promise<unknown>) => {
    const before = performance.now()
    await work()
    into.push(performance.now() - before)
  }
  const ask = (method: string, of: string, line: number, character: number) =>
    server.connection.sendRequest(`textDocument/${method}`, { textDocument: { uri: of }, position: { line, character } })
  await server.open(uri, text)
  await server.until('the end of the first check', () => server.statuses.at(-1)?.phase === 'done', patience)
  let version = 1
  for (const { line, from, to, text: put, pause } of editingSession(edits, text.split('\n'), seed)) {
    await server.edit(uri, ++version, line, from, to, put)
    await timed(times.completion, () => ask('completion', uri, line, from + put.length))
    if (!pause) continue
    const edited = version, paused = performance.now()
    let told = 0
    await timed(times.findings, () => server.findings(uri, edited, () => {
      // What is told from here on is about this text.
      told = server.statuses.length
      return true
    }, patience))
    await server.until('the end of a check', () => server.statuses.slice(told).some(one => one.phase === 'done'), patience)
    times.contact.push(performance.now() - paused)
    await timed(times.hover, () => ask('hover', uri, line, 1))
    await timed(times.symbols, () => ask('documentSymbol', uri, 0, 0))
    await timed(times.empty, () => ask('hover', 'untitled:nothing', 0, 0))
  }
  return times
}

function rowOf(name: string, times: readonly number[], empty: readonly number[], share: number): Row {
  const sorted = [...times].sort((a, b) => a - b), peer = [...empty].sort((a, b) => a - b)
  return { name, unit: 'ms', better: 'lower', median: quantile(sorted, share), low: sorted[0], high: sorted[sorted.length - 1], peer: { name: 'a question answered at once', value: quantile(peer, 0.5) } }
}
