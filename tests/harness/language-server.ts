import { spawn, type ChildProcessWithoutNullStreams } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { StreamMessageReader, StreamMessageWriter, createMessageConnection } from 'vscode-languageserver/node'
import type { Diagnostic, MessageConnection } from 'vscode-languageserver/node'
import type { ServerEvents, ServerRequests } from '../../shared/protocol/server-messages.ts'

// A language client without an editor: starts the real server from a fresh bundle, speaks the
// protocol over its standard streams, and writes down all it is told, so that a test can say what
// must, and what must never, have been sent.

export interface PublishedFindings {
  readonly uri: string
  readonly version?: number
  readonly diagnostics: readonly Diagnostic[]
}

/** How long a test waits for a message before it fails, ms. */
const PATIENCE = 20_000

/** Bundles server and worker as they are shipped, into a folder of their own. */
export async function bundleServer(): Promise<{ readonly path: string, readonly remove: () => void }> {
  // The bench uses the client below with a bundle of its own, and has no bundler beside it.
  const { build } = await import('esbuild')
  const folder = mkdtempSync(join(tmpdir(), 'toolwake-server-'))
  const { version } = JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8')) as { readonly version: string }
  await build({
    entryPoints: {
      server: fileURLToPath(new URL('../../server/lsp/main.ts', import.meta.url)),
      'contact-worker': fileURLToPath(new URL('../../server/edge/contact-worker.ts', import.meta.url)),
      'stock-worker': fileURLToPath(new URL('../../server/edge/stock-worker.ts', import.meta.url)),
      'result-worker': fileURLToPath(new URL('../../server/edge/result-worker.ts', import.meta.url)),
    },
    outdir: folder, outExtension: { '.js': '.cjs' },
    platform: 'node', format: 'cjs', target: 'node20', bundle: true, logLevel: 'error', mainFields: ['module', 'main'],
    define: { 'import.meta.dirname': '__dirname', TOOLWAKE_VERSION: JSON.stringify(version) },
  })
  return { path: join(folder, 'server.cjs'), remove: () => rmSync(folder, { recursive: true, force: true }) }
}

export class LanguageServerUnderTest {
  readonly process: ChildProcessWithoutNullStreams
  readonly connection: MessageConnection
  /** Everything published, in the order of arrival. */
  readonly published: PublishedFindings[] = []
  readonly statuses: ServerEvents['toolwake/status'][] = []
  readonly log: string[] = []
  readonly #waiting = new Set<() => void>()
  #endedWith: string | undefined
  #disposed = false
  /** Code the process ended with. */
  readonly ended: Promise<number | null>

  constructor(server: string, options: readonly string[] = ['--stdio']) {
    this.process = spawn(process.execPath, [server, ...options])
    this.ended = new Promise(resolve => this.process.once('exit', resolve))
    // Nothing comes from a server that has ended: what still waits for it fails, with what the server last said.
    void this.ended.then(code => {
      this.#endedWith = `The server has ended with ${code ?? 'a signal'}.`
      this.#dispose()
      this.#arrived()
    })
    this.process.stderr.on('data', (data: Buffer) => this.log.push(data.toString()))
    this.connection = createMessageConnection(new StreamMessageReader(this.process.stdout), new StreamMessageWriter(this.process.stdin))
    this.connection.onNotification('textDocument/publishDiagnostics', (findings: PublishedFindings) => {
      this.published.push(findings)
      this.#arrived()
    })
    this.connection.onNotification('toolwake/status', (status: ServerEvents['toolwake/status']) => {
      this.statuses.push(status)
      this.#arrived()
    })
    this.connection.onNotification('window/logMessage', ({ message }: { message: string }) => {
      this.log.push(message)
      this.#arrived()
    })
    this.connection.onRequest('client/registerCapability', () => null)
    this.connection.listen()
  }

  async initialize(options: { readonly folder?: string, readonly configuration?: unknown, readonly commands?: boolean, readonly pictures?: boolean, readonly restricted?: boolean, readonly keptIn?: string, readonly capabilities?: object, readonly textDocument?: object } = {}): Promise<void> {
    const { configuration } = options
    if (configuration !== undefined) {
      this.connection.onRequest('workspace/configuration', ({ items }: { items: unknown[] }) => items.map(() => configuration))
    }
    await this.connection.sendRequest('initialize', {
      processId: process.pid,
      rootUri: null,
      capabilities: { workspace: { configuration: configuration !== undefined, didChangeWatchedFiles: { dynamicRegistration: true }, ...options.capabilities }, textDocument: options.textDocument },
      workspaceFolders: options.folder === undefined ? null : [{ uri: options.folder, name: 'work' }],
      initializationOptions: { commands: options.commands ?? true, pictures: options.pictures ?? false, restricted: options.restricted ?? false, ...options.keptIn === undefined ? {} : { keptIn: options.keptIn } },
    })
    await this.connection.sendNotification('initialized', {})
  }

  async open(uri: string, text: string, version = 1): Promise<void> {
    await this.connection.sendNotification('textDocument/didOpen', { textDocument: { uri, languageId: 'toolwake-nc', version, text } })
  }

  /** Replaces the whole text. */
  async replace(uri: string, text: string, version: number): Promise<void> {
    await this.connection.sendNotification('textDocument/didChange', { textDocument: { uri, version }, contentChanges: [{ text }] })
  }

  /** Replaces characters of one line. */
  async edit(uri: string, version: number, line: number, from: number, to: number, text: string): Promise<void> {
    const range = { start: { line, character: from }, end: { line, character: to } }
    await this.connection.sendNotification('textDocument/didChange', { textDocument: { uri, version }, contentChanges: [{ range, text }] })
  }

  ask<Name extends keyof ServerRequests>(name: Name, params: ServerRequests[Name]['params']): Promise<ServerRequests[Name]['result']> {
    return this.connection.sendRequest(name, params)
  }

  /** Waits until the claim holds of what has arrived; says what has arrived when it never does. */
  async until<T>(what: string, claim: () => T | undefined | false, patience = PATIENCE): Promise<T> {
    const first = claim()
    if (first !== undefined && first !== false) return first
    return new Promise((resolve, reject) => {
      const giveUp = (why: string) => {
        clearTimeout(timer)
        this.#waiting.delete(look)
        reject(new Error(`${why}\nstatus: ${JSON.stringify(this.statuses.at(-1))}\npublished: ${JSON.stringify(this.published.slice(-4))}\nlog: ${this.log.join('\n')}`))
      }
      const look = () => {
        const value = claim()
        if (value === undefined || value === false) {
          if (this.#endedWith !== undefined) giveUp(`${this.#endedWith} ${what} can no longer happen.`)
          return
        }
        clearTimeout(timer)
        this.#waiting.delete(look)
        resolve(value)
      }
      const timer = setTimeout(() => giveUp(`${what} did not happen in ${patience} ms.`), patience)
      this.#waiting.add(look)
      if (this.#endedWith !== undefined) look()
    })
  }

  /** The last list published for a version of a document, once there is one that the claim holds of. */
  findings(uri: string, version: number, claim: (diagnostics: readonly Diagnostic[]) => boolean = () => true, patience = PATIENCE): Promise<readonly Diagnostic[]> {
    return this.until(`findings of version ${version} of ${uri}`, () => {
      const last = this.published.filter(one => one.uri === uri).at(-1)
      return last?.version === version && claim(last.diagnostics) ? last.diagnostics : undefined
    }, patience)
  }

  /** Waits until a program is checked to the end. */
  done(uri: string, after = 0): Promise<ServerEvents['toolwake/status']> {
    return this.until(`the end of checking ${uri}`, () =>
      this.statuses.slice(after).find(one => one.uri === uri && (one.phase === 'done' || one.phase === 'failed')))
  }

  async stop(): Promise<number | null> {
    if (this.process.exitCode !== null) return this.process.exitCode
    await this.connection.sendRequest('shutdown')
    await this.connection.sendNotification('exit')
    return this.ended
  }

  kill(): void {
    this.#dispose()
    this.process.kill('SIGKILL')
  }

  /** Fails every question that waits. */
  #dispose(): void {
    if (this.#disposed) return
    this.#disposed = true
    this.connection.dispose()
  }

  #arrived(): void {
    for (const look of [...this.#waiting]) look()
  }
}

/** The rule ids of a list, in its order. */
export function rulesOf(diagnostics: readonly Diagnostic[]): string[] {
  return diagnostics.map(one => String(one.code))
}
