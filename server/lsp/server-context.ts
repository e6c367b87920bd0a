import { dirname } from 'node:path'
import type { ServerEvents, ServerRequests } from '../../shared/protocol/server-messages.ts'
import { cacheFolder } from '../edge/cache-folder.ts'
import { DiagnosticsBoard } from './diagnostics-board.ts'
import { pathOf } from './document-path.ts'
import { guardRequest, type Log } from './guard.ts'
import { InputChecks } from './input-checks.ts'
import { OutsideFiles } from './outside-files.ts'
import { ProgramChecks } from './program-checks.ts'
import { TextDocument, TextDocuments } from './protocol.ts'
import type { CancellationToken, Connection, InitializeParams, ServerCapabilities } from './protocol.ts'
import { ProgramTexts } from './program-texts.ts'
import type { Reading } from './reading.ts'
import { SceneBuffers } from './scene-buffers.ts'
import { SceneStore } from './scene-store.ts'
import { SettingsStore } from './settings.ts'

/** What the client has said of itself. Empty until it introduces itself, so it is read when it is needed, not when a feature registers. */
export interface ClientState {
  capabilities: InitializeParams['capabilities']
  /** The client has the commands of our extension, so they can stand in answers. */
  withCommands: boolean
  /** The client shows pictures that lie in the Markdown itself. */
  pictures: boolean
  /** Folders of the workspace on this disk. */
  roots: readonly string[]
  /** Folder of results kept for later: the client's own, else the user's cache folder. */
  keptIn: string
}

/** What every feature of the server works with. A feature takes from it what it needs. */
export interface ServerContext {
  readonly connection: Connection
  readonly log: Log
  readonly client: ClientState
  readonly documents: TextDocuments<TextDocument>
  /** The open programs by the address of their document. */
  readonly programs: Map<string, ProgramChecks>
  /** The open setup sheets and machine files by the address of their document. */
  readonly inputs: Map<string, InputChecks>
  /** The open programs as they are typed at this moment. */
  readonly texts: ProgramTexts
  readonly settings: SettingsStore
  readonly scenes: SceneStore
  readonly buffers: SceneBuffers
  readonly outside: OutsideFiles
  /** Adds to what the server says it can do. Called while features register, asked when the client introduces itself. */
  readonly offer: (capabilities: (client: ClientState) => ServerCapabilities) => void
  /** All that was offered. */
  readonly offered: () => ServerCapabilities
  /** The reading of the text as it stands now; fails where the program is not open or could not be read. */
  readonly readingOf: (uri: string) => Promise<Reading>
  /** Answers one of our own requests; a failure of ours is logged and told in a sentence. */
  readonly answer: <Name extends keyof ServerRequests>(
    name: Name, answer: (params: ServerRequests[Name]['params'], token: CancellationToken) => ServerRequests[Name]['result'] | Promise<ServerRequests[Name]['result']>) => void
  /** Tells the client something of ours. */
  readonly tell: <Name extends keyof ServerEvents>(name: Name, news: ServerEvents[Name]) => void
  /** Begins to keep the findings of a program that was opened. */
  readonly openProgram: (document: TextDocument) => ProgramChecks
  /** Begins to keep the findings of a setup sheet or machine file that was opened; `path`: where it lies. */
  readonly openInput: (document: TextDocument, path: string) => InputChecks
  readonly checkAll: () => void
  /** Is told whenever more, or something else, is known of a program. */
  readonly hearScene: (listener: (uri: string) => void) => void
  /** Files have changed on disk or in a tab: what depends on them is checked again. */
  readonly filesChanged: (paths: readonly string[]) => Promise<void>
}

/** Everything the features share, with nothing registered yet. */
export function openContext(connection: Connection): ServerContext {
  const log: Log = message => connection.console.error(message)
  const client: ClientState = { capabilities: {}, withCommands: false, pictures: false, roots: [], keptIn: cacheFolder() }
  const documents = new TextDocuments(TextDocument)
  const programs = new Map<string, ProgramChecks>()
  const inputs = new Map<string, InputChecks>()
  const listeners: ((uri: string) => void)[] = []
  const offers: ((client: ClientState) => ServerCapabilities)[] = []
  const board = new DiagnosticsBoard(notice => {
    void connection.sendDiagnostics(notice).catch((error: unknown) => log(`Findings could not be sent: ${String(error)}`))
  })
  const tell = <Name extends keyof ServerEvents>(name: Name, news: ServerEvents[Name]) => {
    void connection.sendNotification(name, news).catch((error: unknown) => log(`${name} could not be sent: ${String(error)}`))
  }
  const settings = new SettingsStore(async uri => client.capabilities.workspace?.configuration === true
    ? await connection.workspace.getConfiguration({ scopeUri: uri, section: 'toolwake' })
    : {})
  const openText = (path: string) => documents.all().find(one => pathOf(one.uri) === path)?.getText()
  const outside = new OutsideFiles(() => [...client.roots, ...documents.all().flatMap(({ uri }) => pathOf(uri) ?? []).map(path => dirname(path))])
  const files = { openText, mayRead: outside.mayRead }
  const scenes = new SceneStore(() => client.roots, files, () => client.keptIn, log)
  const checkAll = () => {
    for (const checks of [...programs.values(), ...inputs.values()]) checks.checkAgain()
  }
  return {
    connection, log, client, documents, programs, inputs, settings, scenes, outside, checkAll, tell,
    texts: new ProgramTexts(uri => documents.get(uri), uri => programs.get(uri)),
    buffers: new SceneBuffers(),
    hearScene: listener => listeners.push(listener),
    offer: capabilities => offers.push(capabilities),
    offered: () => joined(offers.map(offer => offer(client))),
    readingOf: async uri => {
      const reading = await programs.get(uri)?.current()
      if (reading === undefined) throw new Error('This program is not open in the editor, or it could not be read.')
      return reading
    },
    answer: (name, answer) => void connection.onRequest(name, guardRequest(name, log, answer)),
    openProgram: document => {
      const checks = new ProgramChecks(document, {
        settings, scenes, board, log, openText,
        tellStatus: status => tell('toolwake/status', status),
        tellScene: uri => {
          tell('toolwake/sceneChanged', { uri })
          for (const listener of listeners) listener(uri)
        },
      })
      programs.set(document.uri, checks)
      return checks
    },
    openInput: (document, path) => {
      const checks = new InputChecks(document, path, { settings, board, files, log })
      inputs.set(document.uri, checks)
      return checks
    },
    filesChanged: async paths => {
      for (const checks of inputs.values()) checks.filesChanged(paths)
      const isTouched = await scenes.forget(paths)
      for (const checks of programs.values()) {
        if (isTouched) checks.checkAgain()
        else checks.filesChanged(paths)
      }
    },
  }
}

/** Each thing the server can do is offered by one feature. */
function joined(offers: readonly ServerCapabilities[]): ServerCapabilities {
  const names = offers.flatMap(Object.keys)
  const twice = names.find((name, at) => names.indexOf(name) !== at)
  if (twice !== undefined) throw new Error(`Two features of the server offer ${twice}.`)
  return Object.assign({}, ...offers) as ServerCapabilities
}
