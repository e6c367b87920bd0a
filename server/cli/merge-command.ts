import { resolve } from 'node:path'
import { levels, type Level } from '../../shared/finding.ts'
import type { MergeOptions } from './arguments.ts'
import { deliver } from './deliver-output.ts'
import { ExitCode } from './exit-codes.ts'
import { mergeRuns } from './merge-sarif.ts'
import { list, part, readSarif, text, type Json, type SarifRun } from './sarif-log.ts'
import type { Terminal } from './terminal.ts'
import { outputFault } from './write-output.ts'

/** Puts the SARIF of several runs together, and says in a line what it holds. */
export async function runMerge(options: MergeOptions, terminal: Terminal): Promise<ExitCode> {
  const complain = async (sentence: string) => {
    await terminal.errors.write(`toolwake: ${sentence}\n`)
    return ExitCode.unusable
  }
  const paths = options.files.map(file => resolve(terminal.folder, file))
  const fault = options.output === undefined ? undefined : await outputFault(options.output, terminal.folder, paths)
  if (fault !== undefined) return complain(fault)
  const runs: SarifRun[] = []
  for (const [n, file] of options.files.entries()) {
    const run = await readSarif(paths[n] ?? file, file)
    if (typeof run === 'string') return complain(run)
    runs.push(run)
  }
  const merged = mergeRuns(runs)
  if (typeof merged === 'string') return complain(merged)
  const run = list(merged, 'runs')[0] ?? {}
  await terminal.errors.write(`toolwake: ${inWords(run, runs.length)}\n`)
  return deliver(() => JSON.stringify(merged, undefined, 2) + '\n', options.output, terminal, exitCodeOf(run, options.failOn))
}

/** Unusable or at fault where one of the runs was; else by what counts in the merged results. */
function exitCodeOf(run: Json, failOn: Level): ExitCode {
  const invocation = list(run, 'invocations')[0] ?? {}, worst = invocation['exitCode']
  if (worst === ExitCode.fault) return ExitCode.fault
  if (invocation['executionSuccessful'] !== true) return ExitCode.unusable
  return list(run, 'results').some(result => counts(result, failOn)) ? ExitCode.found : ExitCode.clean
}

/** A result counts unless it is accepted, gone or known. One that was known and has become graver is told apart in its run: it counts as updated. */
function counts(result: Json, failOn: Level): boolean {
  const { baselineState } = result
  if (list(result, 'suppressions').length > 0 || baselineState === 'absent' || baselineState === 'unchanged') return false
  if (baselineState === 'updated' && part(result, 'properties')['graver'] !== true) return false
  const word = result['kind'] === 'open' ? text(part(result, 'properties'), 'undecidedLevel') : text(result, 'level')
  // Other programs leave out a level that is the standard's own default (3.27.10).
  return levels.indexOf(levels.find(level => level === word) ?? 'warning') >= levels.indexOf(failOn)
}

function inWords(run: Json, files: number): string {
  const toolwake = part(run, 'properties', 'toolwake')
  const programs = 'program' in toolwake ? 1 : list(toolwake, 'programs').length, results = list(run, 'results').length
  return `Merged ${files} ${files === 1 ? 'file' : 'files'}: ${programs} ${programs === 1 ? 'program' : 'programs'}, ${results} ${results === 1 ? 'result' : 'results'}.`
}
