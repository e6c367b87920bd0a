import { cpSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { RawClient } from '../harness/raw-client.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { junk, junkMessage } from './junk.ts'
import { scrapText } from './mutate.ts'

// One session with the server's process, of messages that an editor should not send: broken, out of order, huge, about documents
// nobody opened, with places outside. Afterwards every question must have its answer and a new program its findings.

/** An answer that takes longer is a hang, ms: a session takes ten seconds of processor time, and a process of low priority on a busy machine gets one in a hundred. */
const patience = 900_000
/** Messages of a session. */
const count = 150

const questions = [
  'initialize', 'textDocument/hover', 'textDocument/completion', 'completionItem/resolve', 'textDocument/signatureHelp', 'textDocument/documentSymbol', 'workspace/symbol',
  'textDocument/definition', 'textDocument/references', 'textDocument/documentHighlight', 'textDocument/prepareRename', 'textDocument/rename', 'textDocument/documentLink',
  'textDocument/selectionRange', 'textDocument/foldingRange', 'textDocument/prepareCallHierarchy', 'callHierarchy/incomingCalls', 'callHierarchy/outgoingCalls',
  'textDocument/semanticTokens/full', 'textDocument/semanticTokens/range', 'textDocument/inlayHint', 'textDocument/codeLens', 'textDocument/codeAction', 'codeAction/resolve',
  'workspace/executeCommand', 'toolwake/scene', 'toolwake/sceneBuffer', 'toolwake/otherVersion', 'toolwake/poseAt', 'toolwake/stockAt', 'toolwake/result', 'toolwake/rulePage',
  'toolwake/acceptance', 'toolwake/setupSheet', 'toolwake/setupQuestions', 'toolwake/allowFile', 'toolwake/draftSetup', 'toolwake/clearKept', 'toolwake/lookAt', 'toolwake/checkAgain',
  'toolwake/tidy', 'toolwake/renumber', 'toolwake/clearanceMarks', 'toolwake/compare', 'no/such', '',
] as const
const news = [
  'initialized', 'textDocument/didOpen', 'textDocument/didChange', 'textDocument/didClose', 'textDocument/didSave', 'workspace/didChangeWatchedFiles',
  'workspace/didChangeConfiguration', 'workspace/didChangeWorkspaceFolders', '$/cancelRequest', '$/setTrace', 'no/such', '',
] as const

/** Throws, with the seed in the message, where the server ends, keeps an answer back, meets a fault nobody catches or finds nothing afterwards. */
export async function tryServerSession(server: string, samples: string, seed: number): Promise<void> {
  const random = new SeededRandom(seed), folder = mkdtempSync(join(tmpdir(), 'toolwake-fuzz-job-'))
  cpSync(samples, folder, { recursive: true })
  const client = new RawClient(server)
  const uris = ['plate/plate.nc', 'plate/plate.setup.json', 'plate/absent.nc', 'plate'].map(name => pathToFileURL(join(folder, name)).href).concat('untitled:A', 'file://%%%', 'nothing', '')
  try {
    // Some messages come before the introduction.
    for (let n = random.whole(0, 5); n > 0; n--) send(client, random, uris)
    client.ask('initialize', { processId: process.pid, rootUri: null, capabilities: {}, workspaceFolders: [{ uri: pathToFileURL(folder).href, name: 'work' }], initializationOptions: { commands: true } })
    client.tell('initialized', {})
    for (let n = 0; n < count; n++) {
      send(client, random, uris)
      if (random.next() < 0.1) await new Promise(resolve => setTimeout(resolve, random.whole(0, 40)))
    }
    await mustLive(client, `untitled:proof-${seed}`)
  } catch (error) {
    throw new Error(`Seed ${seed}: ${error instanceof Error ? error.message : String(error)}\n${client.errors.join('')}`, { cause: error })
  } finally {
    client.kill()
    rmSync(folder, { recursive: true, force: true })
  }
}

function send(client: RawClient, random: SeededRandom, uris: readonly string[]): void {
  const kind = random.next()
  if (kind < 0.15) client.body(junkMessage(random))
  else if (kind < 0.55) client.ask(random.pick(questions), params(random, uris))
  else client.tell(random.pick(news), params(random, uris))
}

/** Params that fit, nearly fit or do not fit at all. */
function params(random: SeededRandom, uris: readonly string[]): unknown {
  if (random.next() < 0.2) return junk(random)
  const uri = random.pick(uris), position = place(random), range = { start: position, end: place(random) }
  const text = random.next() < 0.03 ? 'G1 X1. F100\n'.repeat(random.whole(10_000, 100_000)) : scrapText(random)
  const whole: Record<string, unknown> = {
    textDocument: { uri, languageId: 'toolwake-nc', version: random.whole(-1, 9), text }, position, range, positions: [position, place(random)],
    context: { diagnostics: [{ range, message: 'x', code: 'gouge', data: junk(random) }], includeDeclaration: true }, newName: scrapText(random).slice(0, 20), query: 'O',
    contentChanges: [random.next() < 0.5 ? { text } : { range, text: text.slice(0, 40) }], changes: [{ uri, type: random.whole(0, 4) }], settings: junk(random),
    uri, line: random.whole(-2, 1000), key: 'positions', offset: random.whole(-1, 1_000_000), text, id: random.whole(-1, 100), rule: 'gouge', command: 'toolwake.none', arguments: [junk(random)],
    item: { name: 'x', kind: 12, uri, range, selectionRange: range, data: junk(random) },
  }
  const keys = Object.keys(whole)
  if (random.next() < 0.4) whole[random.pick(keys)] = junk(random)
  return whole
}

function place(random: SeededRandom): unknown {
  const number = () => random.pick([random.whole(0, 30), random.whole(0, 30), -1, 1e9, 2 ** 31, 1.5])
  return { line: number(), character: number() }
}

async function mustLive(client: RawClient, uri: string): Promise<void> {
  client.tell('textDocument/didOpen', { textDocument: { uri, languageId: 'toolwake-nc', version: 1, text: 'G21 G90 G94\nT1 M6\nS900 M3\nG1 X10.\nM30\n' } })
  const isFound = () => client.told.some(one => one.method === 'textDocument/publishDiagnostics' && JSON.stringify(one.params).includes(uri) && JSON.stringify(one.params).includes('missing-feed'))
  const hasFound = await client.holds(isFound, patience)
  if (client.hasEnded) throw new Error(`the server ended with ${client.process.exitCode ?? client.process.signalCode}`)
  if (!hasFound) throw new Error('a program opened afterwards has no findings')
  if (!await client.holds(() => client.unanswered.length === 0, patience)) throw new Error(`no answer to ${client.unanswered.join(', ')}`)
  const fault = client.told.find(one => one.method === 'window/logMessage' && JSON.stringify(one.params).includes('A fault of ours'))
  if (fault !== undefined) throw new Error(JSON.stringify(fault.params))
}
