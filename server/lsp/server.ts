import type { ServerEvents, ServerRequests } from '../../shared/protocol/server-messages.ts'
import { acceptanceOf, hoverAt, rulePageOf } from '../engine/editor-service.ts'
import { findingActions } from './code-actions.ts'
import { DiagnosticsBoard } from './diagnostics-board.ts'
import { guardNews, guardQuestion, guardRequest } from './guard.ts'
import { ProgramChecks, type Surroundings } from './program-checks.ts'
import type { Reading } from './reading.ts'
import {
  CodeActionKind, DidChangeConfigurationNotification, DidChangeWatchedFilesNotification, MarkupKind,
  TextDocuments, TextDocumentSyncKind, TextDocument,
} from './protocol.ts'
import type { CodeAction, CodeActionParams, Connection, Hover, HoverParams, InitializeParams, InitializeResult } from './protocol.ts'
import { pathOf } from './document-path.ts'
import { SceneBuffers } from './scene-buffers.ts'
import { SceneStore } from './scene-store.ts'
import { SettingsStore } from './settings.ts'
import { answerPose, describeScene } from './viewer-answers.ts'

/** Files a check depends on beside the programs: a change of one is a reason to check again. */
const watched = [
  '**/*.setup.json', '**/*.machine.json', '**/*.{stl,STL,ply,PLY,obj,OBJ,3mf,3MF,gltf,GLTF,glb,GLB}',
  '**/*.{nc,cnc,ngc,tap,NC,CNC,NGC,TAP}', '**/[oO][0-9]*',
]

/** Registers every handler on the connection. Each one is guarded: a failing request is logged and answered. */
export function serve(connection: Connection): void {
  const log = (message: string) => connection.console.error(message)
  const documents = new TextDocuments(TextDocument)
  const programs = new Map<string, ProgramChecks>()
  const buffers = new SceneBuffers()
  const board = new DiagnosticsBoard(notice => {
    void connection.sendDiagnostics(notice).catch((error: unknown) => log(`Findings could not be sent: ${String(error)}`))
  })
  let client: InitializeParams['capabilities'] = {}
  let withCommands = false
  let roots: string[] = []
  const tell = <Name extends keyof ServerEvents>(name: Name, news: ServerEvents[Name]) => {
    void connection.sendNotification(name, news).catch((error: unknown) => log(`${name} could not be sent: ${String(error)}`))
  }
  const settings = new SettingsStore(async uri => client.workspace?.configuration === true
    ? await connection.workspace.getConfiguration({ scopeUri: uri, section: 'toolwake' })
    : {})
  const openText = (path: string) => documents.all().find(one => pathOf(one.uri) === path)?.getText()
  const scenes = new SceneStore(() => roots, openText)
  const around: Surroundings = {
    settings, scenes, board, log, openText,
    tellStatus: status => tell('toolwake/status', status),
    tellScene: uri => tell('toolwake/sceneChanged', { uri }),
  }
  const checkAll = () => {
    for (const checks of programs.values()) checks.checkAgain()
  }

  const filesChanged = async (paths: readonly string[]) => {
    if (await scenes.forget(paths)) return checkAll()
    for (const checks of programs.values()) checks.filesChanged(paths)
  }

  /** What is typed into a program shows in those that call it. */
  const tellCallers = (path: string | undefined) => {
    if (path !== undefined) for (const checks of programs.values()) checks.filesChanged([path])
  }

  connection.onInitialize((params): InitializeResult => {
    client = params.capabilities
    withCommands = (params.initializationOptions as { commands?: unknown } | undefined)?.commands === true
    roots = (params.workspaceFolders ?? []).flatMap(folder => pathOf(folder.uri) ?? [])
    return {
      capabilities: {
        textDocumentSync: { openClose: true, change: TextDocumentSyncKind.Incremental, save: true },
        hoverProvider: true,
        codeActionProvider: withCommands ? { codeActionKinds: [CodeActionKind.QuickFix] } : undefined,
        workspace: { workspaceFolders: { supported: true, changeNotifications: true } },
      },
      serverInfo: { name: 'toolwake' },
    }
  })

  connection.onInitialized(guardNews('initialized', log, async () => {
    if (client.workspace?.didChangeConfiguration?.dynamicRegistration === true) {
      await connection.client.register(DidChangeConfigurationNotification.type, { section: 'toolwake' })
    }
    if (client.workspace?.didChangeWatchedFiles?.dynamicRegistration === true) {
      await connection.client.register(DidChangeWatchedFilesNotification.type, {
        watchers: watched.map(globPattern => ({ globPattern })),
      })
    }
    if (client.workspace?.workspaceFolders === true) {
      connection.workspace.onDidChangeWorkspaceFolders(guardNews('workspaceFolders', log, async () => {
        const folders = await connection.workspace.getWorkspaceFolders()
        roots = (folders ?? []).flatMap(folder => pathOf(folder.uri) ?? [])
        scenes.forgetAll()
        checkAll()
      }))
    }
  }))

  connection.onDidChangeConfiguration(guardNews('didChangeConfiguration', log, () => {
    settings.forget()
    checkAll()
  }))

  connection.onDidChangeWatchedFiles(guardNews('didChangeWatchedFiles', log, async ({ changes }) => {
    const paths = changes.flatMap(change => pathOf(change.uri) ?? [])
    await filesChanged(paths)
  }))

  documents.onDidOpen(guardNews('didOpen', log, ({ document }) => {
    if (isInput(document)) return
    const checks = new ProgramChecks(document, around)
    programs.set(document.uri, checks)
    checks.checkAgain()
    // A program can come back with what was typed into it and not saved.
    tellCallers(pathOf(document.uri))
  }))
  documents.onDidChangeContent(guardNews('didChange', log, async ({ document }) => {
    const path = pathOf(document.uri)
    if (isInput(document) && path !== undefined) return filesChanged([path])
    // The first content change comes with the opening, which has begun the check already.
    if (document.version === programs.get(document.uri)?.openedAt) return
    programs.get(document.uri)?.edited()
    tellCallers(path)
  }))
  documents.onDidSave(guardNews('didSave', log, ({ document }) => programs.get(document.uri)?.saved()))
  documents.onDidClose(guardNews('didClose', log, async ({ document }) => {
    const path = pathOf(document.uri)
    // What was typed into a sheet and not saved is gone with its tab.
    if (isInput(document) && path !== undefined) return filesChanged([path])
    programs.get(document.uri)?.close()
    programs.delete(document.uri)
    settings.forget(document.uri)
    buffers.forget(document.uri)
    scenes.release(document.uri)
    tellCallers(path)
  }))

  const readingOf = async (uri: string): Promise<Reading> => {
    const reading = await programs.get(uri)?.current()
    if (reading === undefined) throw new Error('This program is not open in the editor, or it could not be read.')
    return reading
  }

  connection.onHover(guardQuestion<HoverParams, Hover | null>('hover', log, null, async ({ textDocument, position }) => {
    if (!programs.has(textDocument.uri)) return null
    const { document, view, contact } = await readingOf(textDocument.uri)
    const hover = hoverAt(view, contact, document.offsetAt(position))
    if (hover === undefined) return null
    return {
      contents: { kind: MarkupKind.Markdown, value: hover.markdown },
      range: { start: document.positionAt(hover.span.start), end: document.positionAt(hover.span.end) },
    }
  }))
  connection.onCodeAction(guardQuestion<CodeActionParams, CodeAction[]>('codeAction', log, [], params => findingActions(params, programs.has(params.textDocument.uri))))

  const answer = <Name extends keyof ServerRequests>(
    name: Name, answerIt: (params: ServerRequests[Name]['params']) => ServerRequests[Name]['result'] | Promise<ServerRequests[Name]['result']>,
  ) => connection.onRequest(name, guardRequest(name, log, answerIt))

  answer('toolwake/scene', async ({ uri }) => describeScene(uri, await readingOf(uri), buffers))
  answer('toolwake/sceneBuffer', ({ uri, key, offset }) => buffers.slice(uri, key, offset))
  answer('toolwake/poseAt', async ({ uri, line }) => answerPose(line, await readingOf(uri)))
  answer('toolwake/rulePage', ({ rule }) => ({ markdown: rulePageOf(rule) }))
  answer('toolwake/setupSheet', async ({ uri }) => ({ path: (await readingOf(uri)).scene.sheetPath }))
  answer('toolwake/checkAgain', () => {
    scenes.forgetAll()
    checkAll()
    return {}
  })
  answer('toolwake/acceptance', async ({ uri, rule, line, reason }) => {
    const reading = await readingOf(uri)
    const finding = reading.findings().find(one =>
      one.rule === rule && one.file === undefined && reading.document.positionAt(one.span.start).line === line)
    const { text } = acceptanceOf(reading.program.text, line, rule, reason, finding)
    return { version: reading.version, line, character: 0, text }
  })

  connection.onShutdown(() => {
    for (const checks of programs.values()) checks.close()
    scenes.forgetAll()
  })
  documents.listen(connection)
  connection.listen()
}

/** Setup sheets and machine files are held open too, so that a check follows what is typed into them. */
function isInput({ uri }: TextDocument): boolean {
  return /\.(?:setup|machine)\.json$/i.test(uri)
}
