import { pathOf } from '../document-path.ts'
import { guardNews } from '../guard.ts'
import { DidChangeConfigurationNotification, DidChangeWatchedFilesNotification } from '../protocol.ts'
import type { ServerContext } from '../server-context.ts'

/** Files a check depends on beside the programs: a change of one is a reason to check again. */
const watched = [
  '**/*.setup.json', '**/*.machine.json', '**/*.{stl,STL,ply,PLY,obj,OBJ,3mf,3MF,gltf,GLTF,glb,GLB}',
  '**/*.{nc,cnc,ngc,tap,NC,CNC,NGC,TAP}', '**/[oO][0-9]*',
]

/** Follows the user's settings, the folders of the workspace and the files on disk. */
export function registerWorkspace({ connection, client, offer, log, settings, scenes, checkAll, filesChanged }: ServerContext): void {
  offer(() => ({ workspace: { workspaceFolders: { supported: true, changeNotifications: true } } }))

  connection.onInitialized(guardNews('initialized', log, async () => {
    const { workspace } = client.capabilities
    if (workspace?.didChangeConfiguration?.dynamicRegistration === true) {
      await connection.client.register(DidChangeConfigurationNotification.type, { section: 'toolwake' })
    }
    if (workspace?.didChangeWatchedFiles?.dynamicRegistration === true) {
      await connection.client.register(DidChangeWatchedFilesNotification.type, {
        watchers: watched.map(globPattern => ({ globPattern })),
      })
    }
    if (workspace?.workspaceFolders === true) {
      connection.workspace.onDidChangeWorkspaceFolders(guardNews('workspaceFolders', log, async () => {
        const folders = await connection.workspace.getWorkspaceFolders()
        client.roots = (folders ?? []).flatMap(folder => pathOf(folder.uri) ?? [])
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
    await filesChanged(changes.flatMap(change => pathOf(change.uri) ?? []))
  }))
}
