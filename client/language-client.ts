import { join } from 'node:path'
import { EventEmitter, workspace, type Diagnostic, type ExtensionContext, type LogOutputChannel, type TextDocument } from 'vscode'
import { LanguageClient, TransportKind } from 'vscode-languageclient/node'
import type { ServerEvents, Status } from '../shared/protocol/server-messages.ts'
import type { ServerLink } from './server-link.ts'

/** The id under which the language is contributed. */
const languageId = 'toolwake-nc'

/** Where programs lie that are checked. Those out of a version control system's history, and mended ones that are only shown, are left alone: nobody could edit them. */
const schemes: readonly string[] = ['file', 'untitled', 'vscode-vfs']

/** A program that the server knows. */
export function isProgram({ languageId: language, uri: { scheme } }: TextDocument): boolean {
  return language === languageId && schemes.includes(scheme)
}

/** Starts the language server in a process of its own and opens the talk with it. */
export async function startServer(context: ExtensionContext, log: LogOutputChannel): Promise<ServerLink> {
  const module = context.asAbsolutePath(join('dist', 'server.cjs'))
  const client = new LanguageClient('toolwake', 'Toolwake', {
    run: { module, transport: TransportKind.ipc },
    debug: { module, transport: TransportKind.ipc, options: { execArgv: ['--nolazy', '--inspect=6109'] } },
  }, {
    // Sheets and machine files go along so that a check follows what is typed into them.
    documentSelector: [
      ...schemes.map(scheme => ({ scheme, language: languageId })),
      { scheme: 'file', pattern: '**/*.{setup,machine}.json' },
    ],
    outputChannel: log,
    // What was found in an older text than the one on the screen would stand at the wrong words.
    middleware: {
      handleDiagnostics: (uri, diagnostics, next) => {
        const shown = workspace.textDocuments.find(document => document.uri.toString() === uri.toString())
        next(uri, diagnostics.filter(diagnostic => !isOlder(diagnostic, shown?.version)))
      },
    },
    // Tells the server that the commands of this extension can stand in its code actions, that hovers show pictures, where to keep results, and whether the folder is trusted.
    initializationOptions: { commands: true, pictures: true, keptIn: join(context.globalStorageUri.fsPath, 'kept'), restricted: !workspace.isTrusted },
  })
  const statuses = new Map<string, Status>()
  const news = openNews(client)
  news['toolwake/status'].event(status => statuses.set(status.uri, status))
  await client.start()
  return {
    ask: (name, params, token) => client.sendRequest(name, params, token),
    hear: (name, listener) => news[name].event(listener),
    lastStatus: uri => statuses.get(uri),
    stop: () => client.stop(),
  }
}

/** The server notes with each diagnostic of a program the version of the text it was made from. */
function isOlder(diagnostic: Diagnostic, version: number | undefined): boolean {
  const { data } = diagnostic as Diagnostic & { readonly data?: { readonly version?: unknown } }
  return version !== undefined && typeof data?.version === 'number' && data.version < version
}

type NewsEmitters = { readonly [Name in keyof ServerEvents]: EventEmitter<ServerEvents[Name]> }

/** The connection keeps one handler for each kind of news; an emitter passes it on to all who listen. */
function openNews(client: LanguageClient): NewsEmitters {
  const emitters: NewsEmitters = { 'toolwake/status': new EventEmitter(), 'toolwake/sceneChanged': new EventEmitter(), 'toolwake/compareProgress': new EventEmitter(), 'toolwake/recordProgress': new EventEmitter(), 'toolwake/rewriteProgress': new EventEmitter(), 'toolwake/mendProgress': new EventEmitter() }
  client.onNotification('toolwake/status', (status: ServerEvents['toolwake/status']) => emitters['toolwake/status'].fire(status))
  client.onNotification('toolwake/sceneChanged', (change: ServerEvents['toolwake/sceneChanged']) => emitters['toolwake/sceneChanged'].fire(change))
  client.onNotification('toolwake/compareProgress', (progress: ServerEvents['toolwake/compareProgress']) => emitters['toolwake/compareProgress'].fire(progress))
  client.onNotification('toolwake/recordProgress', (progress: ServerEvents['toolwake/recordProgress']) => emitters['toolwake/recordProgress'].fire(progress))
  client.onNotification('toolwake/rewriteProgress', (progress: ServerEvents['toolwake/rewriteProgress']) => emitters['toolwake/rewriteProgress'].fire(progress))
  client.onNotification('toolwake/mendProgress', (progress: ServerEvents['toolwake/mendProgress']) => emitters['toolwake/mendProgress'].fire(progress))
  return emitters
}
