import { resolve } from 'node:path'
import type { Finding } from '../../shared/finding.ts'
import type { CompareJob, CompareResult } from '../edge/compare-job.ts'
import { chooseForBoth } from '../edge/setup-choice.ts'
import type { CheckResult } from '../engine/service.ts'
import type { CompareOptions } from './arguments.ts'
import { BOUND, exitCodeOf, figuresOf, type CommandServices } from './check-command.ts'
import type { AbsentFinding, CheckedProgram, CheckReport, InputFile } from './check-report.ts'
import { linesOfFinding } from './check-report.ts'
import { comparisonProperties } from './comparison-properties.ts'
import { deliver } from './deliver-output.ts'
import { ExitCode } from './exit-codes.ts'
import { fingerprints } from './fingerprint.ts'
import { hashCalled, SheetHashes } from './hash-inputs.ts'
import { meansOfCheck } from './means-of-check.ts'
import { noProgressLine, startProgressLine } from './progress-line.ts'
import { readProgram, type ProgramFile } from './read-program.ts'
import { renderComparison } from './render-comparison.ts'
import { renderSarif } from './render-sarif.ts'
import { uriOf } from './sarif-artifacts.ts'
import { shownPath, textReader } from './shown-files.ts'
import type { Terminal } from './terminal.ts'
import { linesOf, regionOf } from './text-lines.ts'
import { outputFault } from './write-output.ts'

export interface CompareServices extends CommandServices {
  readonly compareFiles: (job: CompareJob) => Promise<CompareResult>
}

/** Says what an edit changes, and fails where it brings findings. */
export async function runCompare(options: CompareOptions, terminal: Terminal, services: CompareServices): Promise<ExitCode> {
  const complain = async (sentence: string) => {
    await terminal.errors.write(`toolwake: ${sentence}\n`)
    return ExitCode.unusable
  }
  const inputs = [options.old, options.new, ...options.setup === undefined ? [] : [options.setup]].filter(name => name !== '-')
  const fault = options.output === undefined ? undefined : await outputFault(options.output, terminal.folder, inputs.map(name => resolve(terminal.folder, name)))
  if (fault !== undefined) return complain(fault)
  const [old, now] = [await readProgram(options.old, terminal), await readProgram(options.new, terminal)]
  const unread = [old, now].find(({ failure }) => failure !== undefined)
  if (unread !== undefined) return complain(unread.failure ?? '')

  const line = options.progress && terminal.errors.isTerminal ? startProgressLine(terminal.errors, services.now) : noProgressLine
  const paths = { old: placeOf(old, terminal), new: placeOf(now, terminal) }
  const choice = chooseForBoth(paths.old, paths.new, options.setup === undefined ? undefined : resolve(terminal.folder, options.setup), [terminal.folder])
  const sheets = new SheetHashes()
  await sheets.begin(choice.setupPath)
  const result = await services.compareFiles({
    old: { path: paths.old, text: old.text },
    new: { path: paths.new, text: now.text },
    ...choice,
    threads: options.threads ?? services.threads,
    epsilon: BOUND,
    ...meansOfCheck(options, services.store, terminal),
    cancellation: services.cancellation,
    onProgress: share => line.show({ doing: `${old.name} and ${now.name}`, share }),
  })
  line.clear()
  const { inputs: sheet, changed } = await sheets.end(choice.setupPath)
  const before = await checkedProgram(old, result.old, sheet), after = await checkedProgram(now, result.new, sheet)
  const shown = (path: string) => shownPath(path, terminal.folder)
  const texts = { textOf: textReader() }
  const { findings } = result.comparison
  const program: CheckedProgram = {
    ...after, findings: [...after.findings, ...changed],
    baseline: { stateOf: new Map([...findings.stateOf, ...changed.map(finding => [finding, 'new'] as const)]), worse: findings.worse, absent: absentFindings(findings.absent, before, texts, shown) },
  }
  const exitCode = exitCodeOf([program], options)
  const report: CheckReport = {
    version: services.version, programs: [program], rules: services.rules, ...texts, shownPath: shown,
    failOn: options.failOn, only: [], exitCode,
    comparison: comparisonProperties(result.comparison, { uri: uriOf(shown(before.path)), sha256: before.inputs.find(({ role }) => role === 'program')?.sha256 ?? '' }),
  }
  const words = { oldName: old.name, setup: choice.setupPath === undefined ? undefined : shown(choice.setupPath), otherSetups: (choice.otherSetups ?? []).map(shown) }
  return deliver(colour => options.format === 'sarif' ? renderSarif(report) : renderComparison(report, result.comparison, words, colour), options.output, terminal, exitCode)
}

/** What comes from standard input has no folder of its own: it is looked at from the working folder. */
function placeOf({ path }: ProgramFile, terminal: Terminal): string {
  return path === '-' ? resolve(terminal.folder, 'stdin') : path
}

async function checkedProgram(file: ProgramFile, result: CheckResult, sheet: readonly InputFile[]): Promise<CheckedProgram> {
  return {
    name: file.name, path: file.path, lines: linesOf(file.text), result: figuresOf(result), findings: result.findings, leftOut: new Map(),
    inputs: [...file.input === undefined ? [] : [file.input], ...await hashCalled(result), ...sheet],
  }
}

/** The findings of the old program that the new one has no more, placed in the old one. */
function absentFindings(absent: readonly Finding[], old: CheckedProgram, texts: Pick<CheckReport, 'textOf'>, shown: (path: string) => string): AbsentFinding[] {
  const marks = fingerprints(texts, old)
  return absent.map(finding => {
    const lines = linesOfFinding(texts, old, finding), path = finding.file ?? old.path
    return {
      rule: finding.rule, level: finding.level, open: finding.open ?? false, message: finding.message, fingerprint: marks.get(finding) ?? '',
      uri: path === '-' ? 'stdin' : uriOf(shown(path)),
      ...lines === undefined || lines.text.length === 0 ? {} : { region: regionOf(lines, finding.span) },
    }
  })
}
