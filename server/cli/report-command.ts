import { basename, dirname, resolve } from 'node:path'
import type { CheckJob } from '../edge/check-job.ts'
import type { RecordOutcome } from '../edge/record-job.ts'
import { chooseSetup } from '../edge/setup-choice.ts'
import type { ReportOptions } from './arguments.ts'
import { BOUND, exitCodeOf, figuresOf, reportOf, type CommandServices } from './check-command.ts'
import type { CheckedProgram } from './check-report.ts'
import { count } from './closing-words.ts'
import { printable } from './code-frame.ts'
import { ExitCode } from './exit-codes.ts'
import { hashCalled, SheetHashes } from './hash-inputs.ts'
import { meansOfCheck } from './means-of-check.ts'
import { noProgressLine, startProgressLine } from './progress-line.ts'
import { readProgram } from './read-program.ts'
import { fromFolder, toldFromFolder } from './record/from-its-folder.ts'
import { renderRecord } from './record/release-record.ts'
import type { Terminal } from './terminal.ts'
import { linesOf } from './text-lines.ts'
import { outputFault, writeWhole } from './write-output.ts'

export interface ReportServices extends CommandServices {
  readonly checkForRecord: (job: Omit<CheckJob, 'lines'>) => Promise<RecordOutcome>
}

/** Checks one program and writes its release record, whole or not at all. */
export async function runReport(options: ReportOptions, terminal: Terminal, services: ReportServices): Promise<ExitCode> {
  const complain = async (sentence: string) => {
    await terminal.errors.write(`toolwake: ${sentence}\n`)
    return ExitCode.unusable
  }
  const toOutput = options.output === '-'
  const inputs = [options.program, ...options.setup === undefined ? [] : [options.setup]].filter(name => name !== '-')
  const fault = toOutput ? undefined : await outputFault(options.output, terminal.folder, inputs.map(name => resolve(terminal.folder, name)))
  if (fault !== undefined) return complain(fault)
  const file = await readProgram(options.program, terminal)
  if (file.failure !== undefined) return complain(file.failure)

  const line = options.progress && terminal.errors.isTerminal ? startProgressLine(terminal.errors, services.now) : noProgressLine
  const path = file.path === '-' ? resolve(terminal.folder, 'stdin') : file.path, folder = dirname(path)
  const choice = chooseSetup(path, options.setup === undefined ? undefined : resolve(terminal.folder, options.setup), [terminal.folder])
  const sheets = new SheetHashes()
  await sheets.begin(choice.setupPath)
  const outcome = await services.checkForRecord({
    path, text: file.text, ...choice, threads: options.threads ?? services.threads, epsilon: BOUND, cancellation: services.cancellation,
    ...meansOfCheck(options, services.store, terminal),
    onProgress: (done, total) => line.show({ doing: file.name, share: done / total }),
  })
  line.clear()
  // Somebody has stopped it: nothing is written and nothing said.
  if (services.cancellation.cancelled()) return ExitCode.interrupted

  const { result } = outcome, files = await sheets.end(choice.setupPath)
  const program: CheckedProgram = {
    name: file.path === '-' ? file.name : basename(path), path: file.path, lines: linesOf(file.text), result: figuresOf(result), findings: toldFromFolder([...result.findings, ...files.changed], folder),
    leftOut: new Map(), inputs: [...file.input === undefined ? [] : [file.input], ...await hashCalled(result), ...files.inputs],
  }
  const exitCode = exitCodeOf([program], options)
  const report = { ...reportOf([program], { failOn: options.failOn, only: [] }, terminal, services, exitCode), shownPath: (shown: string) => fromFolder(shown, folder) }
  const record = renderRecord({ report, program, outcome, epsilon: BOUND })
  if (toOutput) {
    await terminal.output.write(record)
    return exitCode
  }
  const unwritten = await writeWhole(options.output, terminal.folder, record, 'The release record')
  if (unwritten !== undefined) return complain(unwritten)
  const open = program.findings.filter(({ waiver }) => waiver === undefined).length
  await terminal.output.write(`The release record of ${printable(file.name)} is in ${printable(options.output)}: ${open === 0 ? 'nothing found in what was checked' : count(open, 'finding')}. Read what was not checked before you sign it.\n`)
  return exitCode
}
