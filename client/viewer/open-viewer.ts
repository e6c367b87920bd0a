import { posix } from 'node:path'
import * as vscode from 'vscode'
import { openChannel } from '../../shared/protocol/channel.ts'
import type { Channel } from '../../shared/protocol/channel.ts'
import type { Status } from '../../shared/protocol/server-messages.ts'
import { VIEWER_PROTOCOL, hostChecks } from '../../shared/protocol/viewer-messages.ts'
import type { BufferSlice, HostSide, ViewerSide } from '../../shared/protocol/viewer-messages.ts'
import { keepPicture } from './keep-picture.ts'
import { chooseOtherText } from './other-version.ts'
import type { OtherText } from './other-version.ts'
import { viewerPage } from './panel-html.ts'
import type { ViewerServer } from './viewer-server.ts'

export interface ViewerOptions {
  readonly extensionUri: vscode.Uri
  readonly server: ViewerServer
  /** The viewers that stand open, by program; owned by the caller, kept up to date here. */
  readonly open: Map<string, OpenViewer>
  /** Shows a rule's page. */
  readonly showRule: (rule: string) => void
  /** Writes a line into the log that a user can read. */
  readonly log: (line: string) => void
}

/** A viewer that stands open. */
export interface OpenViewer {
  readonly panel: vscode.WebviewPanel
  /** Shows another text's motions beside those of the program; undefined: none any more. */
  readonly compareWith: (other: OtherText | undefined) => void
  /** Moves the tool to the end of a line, 0-based. */
  readonly goTo: (line: number) => void
}

/** What a viewer shows beside its program, and from where on. */
interface Beside { other: OtherText | undefined, line: number | undefined }

/** Shows in the viewer how another text of the program would run, or the program alone again; opens it where there is something to show. */
export function compareInViewer(document: vscode.TextDocument, other: OtherText | undefined, line: number, options: ViewerOptions): void {
  const standing = options.open.get(document.uri.toString())
  if (standing === undefined) {
    if (other !== undefined) openViewer(document, options, { other, line })
    return
  }
  standing.compareWith(other)
  standing.goTo(line)
}

/** Opens the viewer of a program beside its text, or brings the one that stands open to the front. */
export function openViewer(document: vscode.TextDocument, options: ViewerOptions, beside: Beside = { other: undefined, line: undefined }): void {
  const key = document.uri.toString()
  const standing = options.open.get(key)
  if (standing !== undefined) {
    standing.panel.reveal(undefined, true)
    return
  }
  const dist = vscode.Uri.joinPath(options.extensionUri, 'dist')
  const program = posix.basename(document.uri.path)
  const panel = vscode.window.createWebviewPanel('toolwake.viewer', `Wake of ${program}`,
    { viewColumn: vscode.ViewColumn.Beside, preserveFocus: true },
    {
      enableScripts: true,
      localResourceRoots: [dist],
      // Otherwise a million triangles would be read again each time the tab comes to the front.
      retainContextWhenHidden: true,
    })
  const channel = connect(panel, document.uri, program, beside, options)
  options.open.set(key, {
    panel,
    compareWith: other => {
      beside.other = other
      channel.tell('other/changed', undefined)
    },
    goTo: line => channel.tell('line/moved', { line }),
  })
  const listeners = listen(document.uri, channel, options.server)
  panel.onDidDispose(() => {
    options.open.delete(key)
    channel.close('The viewer has been closed.')
    for (const listener of listeners) listener.dispose()
  })
  // The page is set last: whoever answers it is already there.
  const { webview } = panel
  webview.html = viewerPage({
    script: webview.asWebviewUri(vscode.Uri.joinPath(dist, 'webview.js')).toString(),
    style: webview.asWebviewUri(vscode.Uri.joinPath(dist, 'webview.css')).toString(),
    cspSource: webview.cspSource,
    nonce: crypto.randomUUID(),
    program,
  })
}

function connect(panel: vscode.WebviewPanel, uri: vscode.Uri, program: string, beside: Beside, options: ViewerOptions): Channel<ViewerSide> {
  const { server, log } = options
  const address = uri.toString()
  const readOther = async () => beside.other === undefined ? {} : { other: await server.ask('toolwake/otherVersion', { uri: address, ...beside.other }) }
  return openChannel<HostSide, ViewerSide>({
    post: message => {
      void panel.webview.postMessage(message)
    },
    listen: receive => {
      panel.webview.onDidReceiveMessage(receive)
    },
  }, {
    'session/open': ({ version }) => {
      if (version !== VIEWER_PROTOCOL) {
        throw new Error(`The viewer's page speaks version ${version}, the extension version ${VIEWER_PROTOCOL}. Close the viewer, reload the window and open it again.`)
      }
      return { program, line: beside.line ?? cursorLine(uri) ?? 0, status: server.lastStatus(address), isCompared: beside.other !== undefined }
    },
    'scene/read': () => server.ask('toolwake/scene', { uri: address }),
    'scene/buffer': async ({ key, offset, base }): Promise<BufferSlice> => {
      const slice = await server.ask('toolwake/sceneBuffer', { uri: address, key, offset, base })
      if ('gone' in slice) return { gone: true }
      // A copy of its own: a small Buffer is a view on node's shared pool, which must not travel along.
      return { bytes: Uint8Array.from(Buffer.from(slice.base64, 'base64')), totalBytes: slice.totalBytes, same: slice.same }
    },
    'pose/read': ({ line }) => server.ask('toolwake/poseAt', { uri: address, line }),
    'stock/read': ({ line }) => server.ask('toolwake/stockAt', { uri: address, line }),
    'result/read': () => server.ask('toolwake/result', { uri: address }),
    'other/choose': async () => {
      beside.other = await chooseOtherText(uri)
      return readOther()
    },
    'other/read': readOther,
    'picture/keep': ({ png }) => keepPicture(uri, program, png),
  }, {
    'line/chosen': ({ line }) => {
      showLine(uri, line).catch((error: unknown) => log(`Line ${line + 1} of ${program} could not be shown: ${String(error)}`))
    },
    'rule/chosen': ({ rule }) => options.showRule(rule),
  }, { checks: hostChecks, report: problem => log(`Viewer of ${program}: ${problem}`) })
}

/** Passes on what happens in the editor and the server while the viewer is open. */
function listen(uri: vscode.Uri, channel: Channel<ViewerSide>, server: ViewerServer): vscode.Disposable[] {
  const address = uri.toString()
  return [
    vscode.window.onDidChangeTextEditorSelection(change => {
      const [selection] = change.selections
      if (change.textEditor.document.uri.toString() === address && selection !== undefined) {
        channel.tell('line/moved', { line: selection.active.line })
      }
    }),
    server.hear('toolwake/sceneChanged', changed => {
      if (changed.uri === address) channel.tell('scene/changed', undefined)
    }),
    server.hear('toolwake/status', (status: Status) => {
      if (status.uri === address) channel.tell('status/changed', status)
    }),
  ]
}

function editorOf(uri: vscode.Uri): vscode.TextEditor | undefined {
  return vscode.window.visibleTextEditors.find(editor => editor.document.uri.toString() === uri.toString())
}

function cursorLine(uri: vscode.Uri): number | undefined {
  return editorOf(uri)?.selection.active.line
}

/** Puts the editor's cursor on the line; the focus stays in the viewer, so that the keyboard can go on there. */
async function showLine(uri: vscode.Uri, line: number): Promise<void> {
  const editor = editorOf(uri) ?? await vscode.window.showTextDocument(uri, { viewColumn: vscode.ViewColumn.One, preserveFocus: true })
  const at = new vscode.Position(Math.min(line, editor.document.lineCount - 1), 0)
  editor.selection = new vscode.Selection(at, at)
  editor.revealRange(new vscode.Range(at, at), vscode.TextEditorRevealType.InCenterIfOutsideViewport)
}
