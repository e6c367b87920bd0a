// The editor's own workbench and extension host, served to a browser on this machine. It stands where a desktop editor
// would have to be downloaded, and keeps every file it writes inside the folder it is given.
import { spawn } from 'node:child_process'
import type { ChildProcess } from 'node:child_process'
import { existsSync, mkdirSync, writeFileSync } from 'node:fs'
import { createServer } from 'node:net'
import { join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'

export interface EditorServer {
  /** Host and port, as it stands in an address. */
  readonly authority: string
  /** What the server has written so far; part of every report about a failure. */
  log(): string
  stop(): Promise<void>
  /** Without asking and without waiting, for a run that is broken off. */
  kill(): void
  /** Leads the process group of editor, extension host and language servers. */
  readonly pid: number | undefined
}

export interface ServerOptions {
  /** Short, since sockets lie inside it and their paths are limited to 107 bytes. */
  readonly userFolder: string
  readonly extensionsFolder?: string
  /** User settings, over the ones that keep the workbench quiet. */
  readonly settings?: Readonly<Record<string, unknown>>
}

export async function startEditorServer(options: ServerOptions): Promise<EditorServer> {
  const { userFolder } = options
  const extensionsFolder = options.extensionsFolder ?? join(userFolder, 'extensions')
  mkdirSync(join(userFolder, 'User'), { recursive: true })
  mkdirSync(extensionsFolder, { recursive: true })
  writeFileSync(join(userFolder, 'User/settings.json'), JSON.stringify({ ...quiet, ...options.settings }))
  const configuration = join(userFolder, 'server.yaml')
  writeFileSync(configuration, '')

  const authority = `127.0.0.1:${await freePort()}`
  const child = spawn(process.execPath, [
    entry(), '--auth', 'none', '--bind-addr', authority, '--config', configuration, '--user-data-dir', userFolder,
    '--extensions-dir', extensionsFolder, '--session-socket', join(userFolder, 'session.sock'), '--disable-telemetry',
    '--disable-update-check', '--disable-workspace-trust', '--disable-getting-started-override', '--disable-proxy',
    // A built workbench takes an extension in development only when it is started this way.
    '--ignore-last-opened', '--vscode-option', 'enable-smoke-test-driver',
  ], { env: serverEnvironment(userFolder), stdio: ['ignore', 'pipe', 'pipe'], detached: true })

  let log = ''
  const keep = (data: Buffer): void => { log += data.toString() }
  child.stdout.on('data', keep)
  child.stderr.on('data', keep)
  const stop = (): Promise<void> => endGroup(child)
  try {
    await listening(child, () => log)
  } catch (failure) {
    await stop()
    throw failure
  }
  return { authority, log: () => log, stop, pid: child.pid, kill: () => { if (child.pid !== undefined) signalGroup(child.pid, 'SIGKILL') } }
}

export interface WorkbenchOptions {
  readonly folder: string
  /** The extension in development; absent: the one that is installed. */
  readonly extension?: string
  /** Entry of the tests that are to run in the extension host. */
  readonly tests?: string
}

/** The page on which the workbench opens the folder, with the extension in development. */
export function workbenchAddress(server: EditorServer, options: WorkbenchOptions): string {
  const remote = (path: string): string => `vscode-remote://${server.authority}${encodeURI(resolve(path))}`
  const payload = options.extension === undefined ? [] : [['extensionDevelopmentPath', remote(options.extension)]]
  if (options.tests !== undefined) payload.push(['extensionTestsPath', remote(options.tests)])
  const query = new URLSearchParams({ folder: resolve(options.folder), payload: JSON.stringify(payload) })
  return `http://${server.authority}/?${query}`
}

/** Installs an extension from its package into a folder, as a person would with the editor's own command. */
export async function installExtension(file: string, userFolder: string, extensionsFolder: string): Promise<string> {
  mkdirSync(userFolder, { recursive: true })
  const configuration = join(userFolder, 'install.yaml')
  writeFileSync(configuration, '')
  const child = spawn(process.execPath, [
    entry(), '--config', configuration, '--user-data-dir', userFolder, '--extensions-dir', extensionsFolder, '--install-extension', file,
  ], { env: serverEnvironment(userFolder), stdio: ['ignore', 'pipe', 'pipe'] })
  let said = ''
  const keep = (data: Buffer): void => { said += data.toString() }
  child.stdout.on('data', keep)
  child.stderr.on('data', keep)
  const code = await new Promise<number | null>(ended => child.once('close', ended))
  if (code !== 0) throw new Error(`The package could not be installed (code ${code}).\n${said}`)
  return said
}

function entry(): string {
  const path = fileURLToPath(new URL('../host/node_modules/code-server/out/node/entry.js', import.meta.url))
  if (!existsSync(path)) throw new Error('The editor is not installed: "npm test" does that.')
  return path
}

/** No hints, no questions, no looking for news: what is on the screen comes from the extension. Nothing is saved by itself, as a served editor would: what a test has edited is thrown away. */
const quiet = {
  'files.autoSave': 'off',
  'workbench.startupEditor': 'none',
  'workbench.tips.enabled': false,
  'workbench.enableExperiments': false,
  'workbench.settings.enableNaturalLanguageSearch': false,
  'workbench.secondarySideBar.defaultVisibility': 'hidden',
  'window.menuBarVisibility': 'classic',
  'telemetry.telemetryLevel': 'off',
  'extensions.autoUpdate': false,
  'extensions.autoCheckUpdates': false,
  'extensions.ignoreRecommendations': true,
  'update.mode': 'none',
  'security.workspace.trust.enabled': false,
  'chat.disableAIFeatures': true,
  'git.enabled': false,
}

function serverEnvironment(userFolder: string): NodeJS.ProcessEnv {
  const environment: NodeJS.ProcessEnv = {
    ...process.env,
    // Without a gallery the server asks no host for extensions.
    EXTENSIONS_GALLERY: '{}',
    XDG_DATA_HOME: join(userFolder, 'xdg'),
    XDG_CONFIG_HOME: join(userFolder, 'xdg'),
  }
  // An editor that runs the tests, or a test runner, must not steer the editor under test.
  for (const name of Object.keys(environment)) {
    if (/^(VSCODE_|CODE_SERVER_SESSION|ELECTRON_RUN|VITEST|NODE_OPTIONS|NODE_ENV$|PORT$)/.test(name)) delete environment[name]
  }
  return environment
}

function freePort(): Promise<number> {
  return new Promise((found, failed) => {
    const probe = createServer()
    probe.on('error', failed)
    probe.listen(0, '127.0.0.1', () => {
      const address = probe.address()
      probe.close(() => {
        if (typeof address === 'object' && address !== null) found(address.port)
        else failed(new Error('No free port could be had.'))
      })
    })
  })
}

function listening(child: ChildProcess, log: () => string): Promise<void> {
  return new Promise((ready, failed) => {
    const late = setTimeout(() => failed(new Error(`The editor's server did not start within 60 s.\n${log()}`)), 60_000)
    const look = (): void => {
      if (!log().includes('HTTP server listening')) return
      clearTimeout(late)
      ready()
    }
    child.stdout?.on('data', look)
    child.stderr?.on('data', look)
    child.once('exit', code => {
      clearTimeout(late)
      failed(new Error(`The editor's server ended with code ${code}.\n${log()}`))
    })
  })
}

/** The server starts processes of its own (extension host, language server), so the whole group has to go. */
async function endGroup(child: ChildProcess): Promise<void> {
  const { pid } = child
  if (pid === undefined) return
  const gone = child.exitCode === null && child.signalCode === null
    ? new Promise<void>(resolved => child.once('exit', () => resolved()))
    : Promise.resolve()
  signalGroup(pid, 'SIGTERM')
  let late: NodeJS.Timeout | undefined
  await Promise.race([gone, new Promise<void>(resolved => { late = setTimeout(resolved, 3_000) })])
  clearTimeout(late)
  signalGroup(pid, 'SIGKILL')
}

function signalGroup(pid: number, signal: NodeJS.Signals): void {
  try {
    process.kill(-pid, signal)
  } catch (failure) {
    // "No such process" is what we wanted.
    if (!(failure instanceof Error && 'code' in failure && failure.code === 'ESRCH')) throw failure
  }
}
