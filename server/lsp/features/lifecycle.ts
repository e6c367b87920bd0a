import { isAbsolute } from 'node:path'
import { pathOf } from '../document-path.ts'
import type { InitializeResult } from '../protocol.ts'
import type { ServerContext } from '../server-context.ts'

/** The introduction, in which each side says what it can do, and the end. */
export function registerLifecycle({ connection, client, offered, programs, inputs, scenes, outside }: ServerContext): void {
  connection.onInitialize((params): InitializeResult => {
    client.capabilities = params.capabilities
    const options = params.initializationOptions as { commands?: unknown, pictures?: unknown, keptIn?: unknown, restricted?: unknown } | undefined
    client.withCommands = options?.commands === true
    client.pictures = options?.pictures === true
    if (options?.restricted === true) outside.restrict()
    if (typeof options?.keptIn === 'string' && isAbsolute(options.keptIn)) client.keptIn = options.keptIn
    client.roots = (params.workspaceFolders ?? []).flatMap(folder => pathOf(folder.uri) ?? [])
    return { capabilities: offered(), serverInfo: { name: 'toolwake' } }
  })

  connection.onShutdown(() => {
    for (const checks of [...programs.values(), ...inputs.values()]) checks.close()
    scenes.forgetAll()
  })
}
