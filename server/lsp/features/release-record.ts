import { availableParallelism } from 'node:os'
import { dirname, relative } from 'node:path'
import { checkForRecord } from '../../edge/record-job.ts'
import { ExitCode } from '../../cli/exit-codes.ts'
import { runReport } from '../../cli/report-command.ts'
import { ruleWords } from '../../cli/rule-words.ts'
import type { Sink, Terminal } from '../../cli/terminal.ts'
import { pathOf } from '../document-path.ts'
import type { ServerContext } from '../server-context.ts'

/** Written in by the bundler from package.json. */
declare const TOOLWAKE_VERSION: string

/** Writes the release record of a program as it lies on the disk: the page that the command line writes, byte for byte. */
export function registerReleaseRecord({ answer, settings, scenes, outside, client, tell }: ServerContext): void {
  answer('toolwake/writeRecord', async ({ uri, output }, token) => {
    const path = pathOf(uri)
    if (path === undefined) throw new Error('A release record is of a program that lies on the disk; save this one first.')
    const chosen = await settings.of(uri), { threads } = chosen, setup = scenes.named(path, chosen), said: string[] = []
    const root = client.roots.find(folder => !relative(folder, path).startsWith('..')) ?? dirname(path)
    const exitCode = await runReport(
      { program: path, output, failOn: 'error', cache: false, progress: false, ...setup === undefined ? {} : { setup } },
      heard(root, said),
      {
        checkForRecord: async job => {
          let refused: string | undefined
          const mayRead = (named: string) => {
            const may = outside.mayRead(named)
            if (!may) refused = named
            return may
          }
          const outcome = await checkForRecord({ ...job, mayRead, onProgress: (done, total) => tell('toolwake/recordProgress', { uri, share: done / Math.max(1, total) }) })
          // It would vouch for a check that has not seen all that the sheet names.
          if (refused !== undefined) throw new Error(`${refused} lies outside the open folders, and these are not trusted: no record was written. Allow that file by the quick fix of its finding, or trust the folder.`)
          return outcome
        },
        rules: ruleWords(),
        version: TOOLWAKE_VERSION,
        now: () => performance.now(),
        cancellation: { cancelled: () => token.isCancellationRequested },
        threads: threads > 0 ? threads : Math.max(1, availableParallelism() - 1),
      },
    )
    const sentence = said.join('').trim().replace(/^toolwake: /, '')
    if (exitCode === ExitCode.interrupted) throw new Error('The record was stopped; nothing was written.')
    if (exitCode === ExitCode.unusable) throw new Error(sentence)
    return { sentence }
  })
}

/** The command's terminal: what it says is kept for the answer. */
function heard(folder: string, said: string[]): Terminal {
  const sink: Sink = { isTerminal: false, write: text => Promise.resolve(void said.push(text)) }
  return { folder, output: sink, errors: sink, readInput: () => Promise.resolve(new Uint8Array()), environment: {} }
}
