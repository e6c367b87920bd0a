import { ProposedFeatures, createConnection } from './protocol.ts'
import { serve } from './server.ts'

/**
 * Opens the connection the command line names (`--stdio`, `--node-ipc`, `--socket=…`) and serves it
 * until the client goes away.
 */
export function startServer(): void {
  const connection = createConnection(ProposedFeatures.all)
  // A fault in a promise or timer nobody waits for must not take the other open programs with it.
  process.on('uncaughtException', error => connection.console.error(`A fault of ours: ${error.stack ?? error.message}`))
  process.on('unhandledRejection', reason => connection.console.error(`A fault of ours: ${reason instanceof Error ? reason.stack ?? reason.message : String(reason)}`))
  serve(connection)
}

// The bundle is also loaded by the command line, which then calls `startServer` itself.
if (typeof require === 'function' && typeof module === 'object' && require.main === module) {
  try {
    startServer()
  } catch (error) {
    console.error(`toolwake: The language server was not started: ${error instanceof Error ? error.message : String(error)}`)
    process.exitCode = 2
  }
}
