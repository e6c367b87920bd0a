import { LanguageServerUnderTest } from '../harness/language-server.ts'
import { boreProgram } from './bore.ts'
import { editingSession } from './editing-session.ts'
import { quantile } from './measure.ts'
import type { Row } from './report.ts'

const seed = 2027
const uri = 'untitled:session'

interface Times { readonly completion: number[], readonly findings: number[], readonly hover: number[], readonly symbols: number[], readonly empty: number[] }

/**
 * How long the server keeps an editor waiting through the protocol, over a session of edits: completion after each letter, the
 * findings of the text and a hover after each pause. The peer is a question to the same server that is answered at once.
 * `script`: the bundled server.
 */
export async function editingRows(script: string, blocks: number, edits: number): Promise<Row[]> {
  const server = new LanguageServerUnderTest(script)
  try {
    await server.initialize({})
    const times = await runSession(server, boreProgram(blocks), edits)
    const name = (what: string) => `${what}, ${blocks.toLocaleString('en-GB')} blocks`
    return [
      rowOf(name('completion after a letter'), times.completion, times.empty, 0.5),
      rowOf(name('completion after a letter, 99th percentile'), times.completion, times.empty, 0.99),
      rowOf(name('text findings after a pause'), times.findings, times.empty, 0.5),
      rowOf(name('hover after a pause'), times.hover, times.empty, 0.5),
      rowOf(name('outline after a pause'), times.symbols, times.empty, 0.5),
    ]
  } finally {
    server.kill()
  }
}

async function runSession(server: LanguageServerUnderTest, text: string, edits: number): Promise<Times> {
  const times: Times = { completion: [], findings: [], hover: [], symbols: [], empty: [] }
  const timed = async (into: number[], work: () => Promise<unknown>) => {
    const before = performance.now()
    await work()
    into.push(performance.now() - before)
  }
  const ask = (method: string, of: string, line: number, character: number) =>
    server.connection.sendRequest(`textDocument/${method}`, { textDocument: { uri: of }, position: { line, character } })
  await server.open(uri, text)
  await server.findings(uri, 1, undefined, 120_000)
  let version = 1
  for (const { line, from, to, text: put, pause } of editingSession(edits, text.split('\n'), seed)) {
    await server.edit(uri, ++version, line, from, to, put)
    await timed(times.completion, () => ask('completion', uri, line, from + put.length))
    if (!pause) continue
    const edited = version
    await timed(times.findings, () => server.findings(uri, edited, undefined, 120_000))
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
