import { availableParallelism } from 'node:os'
import type { Call } from './arguments.ts'
import { readArguments } from './arguments.ts'
import type { CommandServices } from './check-command.ts'
import { ExitCode } from './exit-codes.ts'
import { helpText } from './help-text.ts'
import { processTerminal, UnwrittenOutput } from './terminal.ts'

/** Written in by the bundler from package.json. */
declare const TOOLWAKE_VERSION: string

/** More threads than this gain nothing: they wait for memory. */
const MOST_USEFUL_THREADS = 8

const terminal = processTerminal()
let interrupted = false

const call = readArguments(process.argv.slice(2))
// The language server outlives its faults and answers them itself.
if (call.kind !== 'serve') process.on('uncaughtException', fault => void tellFault(fault))

carryOut(call).then(
  // Output has been handed over by now; threads that still wait for work must not keep the process.
  exitCode => exitCode === undefined || interrupted ? undefined : process.exit(exitCode),
  fault => tellFault(fault),
)

/** Undefined where the process goes on by itself. */
async function carryOut(call: Call): Promise<ExitCode | undefined> {
  switch (call.kind) {
    case 'help':
      await terminal.output.write(helpText(call.command))
      return ExitCode.clean
    case 'version':
      await terminal.output.write(`${TOOLWAKE_VERSION}\n`)
      return ExitCode.clean
    case 'unusable':
      await terminal.errors.write(`toolwake: ${call.message}\n`)
      return ExitCode.unusable
    case 'compare': {
      process.once('SIGINT', stop)
      const { runCompare } = await import('./compare-command.ts')
      const { compareFiles } = await import('../edge/compare-job.ts')
      return runCompare(call.options, terminal, { compareFiles, ...await services() })
    }
    case 'merge': {
      const { runMerge } = await import('./merge-command.ts')
      return runMerge(call.options, terminal)
    }
    case 'explain': {
      const { runExplain } = await import('./explain-command.ts')
      return runExplain(call.rule, terminal, (await import('./rule-words.ts')).ruleWords())
    }
    case 'new-setup': {
      const { runNewSetup } = await import('./new-setup-command.ts')
      return runNewSetup(call.options, terminal)
    }
    case 'prove-machine': {
      const { runProveMachine } = await import('./prove-machine-command.ts')
      return runProveMachine(call.options, terminal)
    }
    case 'serve': {
      const { runServe } = await import('./serve-command.ts')
      return runServe(process.argv[1] ?? '', terminal)
    }
    case 'clear-cache': {
      const { runClearCache } = await import('./clear-cache-command.ts')
      return runClearCache(terminal)
    }
    case 'check': {
      process.once('SIGINT', stop)
      const { runCheck } = await import('./check-command.ts')
      const { OpenJobs } = await import('../edge/open-jobs.ts')
      const { checkWithMends } = await import('../edge/mend-job.ts')
      // The threads end with the process.
      return runCheck(call.options, terminal, { checkProgram: new OpenJobs().check, checkWithMends, ...await services() })
    }
    case 'report': {
      process.once('SIGINT', stop)
      const { runReport } = await import('./report-command.ts')
      const { checkForRecord } = await import('../edge/record-job.ts')
      return runReport(call.options, terminal, { checkForRecord, ...await services() })
    }
    case 'mend': {
      process.once('SIGINT', stop)
      const { runMend } = await import('./mend-command.ts')
      const { mendFile } = await import('../edge/mend-job.ts')
      return runMend(call.options, terminal, { mendFile, ...await services() })
    }
    default: return call satisfies never
  }
}

/** What commands that search need besides the work itself. */
async function services(): Promise<CommandServices> {
  const { cacheFolder } = await import('../edge/cache-folder.ts')
  const { defaultStoreLimit } = await import('../edge/result-store.ts')
  return {
    rules: (await import('./rule-words.ts')).ruleWords(),
    version: TOOLWAKE_VERSION,
    now: () => performance.now(),
    cancellation: { cancelled: () => interrupted },
    store: { folder: cacheFolder(), limit: defaultStoreLimit },
    threads: Math.min(MOST_USEFUL_THREADS, availableParallelism()),
  }
}

/** Ctrl-C: whoever pressed it wants the terminal back now, so nothing is waited for. */
function stop(): void {
  interrupted = true
  // Erase what is left of a progress line.
  const lead = terminal.errors.isTerminal ? '\r\u001b[K' : ''
  void terminal.errors.write(`${lead}toolwake: Stopped. Nothing was reported.\n`).finally(() => process.exit(ExitCode.interrupted))
}

async function tellFault(fault: unknown): Promise<void> {
  if (fault instanceof UnwrittenOutput) {
    // Standard error may lie on the same full disk; the exit code then has to say it alone.
    await terminal.errors.write(`toolwake: ${fault.message}\n`).catch(() => undefined)
    process.exit(ExitCode.unusable)
  }
  const trace = fault instanceof Error ? fault.stack ?? fault.message : String(fault)
  await terminal.errors.write(`toolwake: A fault of toolwake's own; nothing was reported. What follows helps to find it:\n${trace}\n`)
  process.exit(ExitCode.fault)
}
