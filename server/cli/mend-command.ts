import { resolve } from 'node:path'
import type { MendOutcome } from '../edge/mend-job.ts'
import { decode, encodeLike, LARGEST_SHEET, readBytes } from '../edge/read-file.ts'
import { applyEdits } from '../engine/service.ts'
import type { CheckJob } from '../edge/check-job.ts'
import { chooseSetup } from '../edge/setup-choice.ts'
import type { MendOptions } from './arguments.ts'
import { BOUND, exitCodeOf, reportOf, type CommandServices } from './check-command.ts'
import type { CheckedProgram } from './check-report.ts'
import { ExitCode } from './exit-codes.ts'
import { hashCalled, hashed, hashInputs } from './hash-inputs.ts'
import { meansOfCheck } from './means-of-check.ts'
import { mendProperties } from './mend-properties.ts'
import { noProgressLine, startProgressLine } from './progress-line.ts'
import { readProgram, type ProgramFile } from './read-program.ts'
import { renderMend } from './render-mend.ts'
import { renderSarif } from './render-sarif.ts'
import { renderText } from './render-text.ts'
import { uriOf } from './sarif-artifacts.ts'
import { shownPath } from './shown-files.ts'
import { wantsColour, type Terminal } from './terminal.ts'
import { linesOf } from './text-lines.ts'
import { outputFault, writeWhole } from './write-output.ts'

export interface MendServices extends CommandServices {
  readonly mendFile: (job: Omit<CheckJob, 'lines'>) => Promise<MendOutcome>
}

/** Mends one program, writes it whole, and tells what was changed and what still stands. */
export async function runMend(options: MendOptions, terminal: Terminal, services: MendServices): Promise<ExitCode> {
  const toOutput = options.output === '-'
  const complain = async (sentence: string) => {
    await terminal.errors.write(`toolwake: ${sentence}\n`)
    return ExitCode.unusable
  }
  const file = await readProgram(options.program, terminal)
  if (file.failure !== undefined) return complain(file.failure)
  const trouble = (toOutput ? undefined : await outputTrouble(options, file, terminal))
    ?? (options.setupOutput === undefined ? undefined : await outputFault(options.setupOutput, terminal.folder, [file.path]))
  if (trouble !== undefined) return complain(trouble)

  const line = options.progress && terminal.errors.isTerminal ? startProgressLine(terminal.errors, services.now) : noProgressLine
  const path = file.path === '-' ? resolve(terminal.folder, 'stdin') : file.path
  const choice = chooseSetup(path, options.setup === undefined ? undefined : resolve(terminal.folder, options.setup), [terminal.folder])
  const outcome = await services.mendFile({
    path, text: file.text, ...choice, threads: options.threads ?? services.threads, epsilon: BOUND, cancellation: services.cancellation,
    ...meansOfCheck(options, services.store, terminal),
    onProgress: (done, total) => line.show({ doing: file.name, share: done / total }),
  })
  line.clear()
  // Somebody has stopped it: nothing is written and nothing said.
  if (services.cancellation.cancelled()) return ExitCode.interrupted

  const text = outcome.report?.text ?? file.text
  const bytes = file.bytes === undefined || text === file.text ? file.bytes ?? new TextEncoder().encode(text) : encodeLike(file.bytes, text)
  if (!toOutput) {
    const unwritten = await writeWhole(options.output, terminal.folder, bytes, 'The mended program')
    if (unwritten !== undefined) return complain(unwritten)
  } else await terminal.output.write(text)

  const unsaid = options.setupOutput === undefined ? undefined : await writeSheet(options.setupOutput, outcome, terminal)
  if (unsaid !== undefined) return complain(unsaid)

  const name = toOutput ? file.name : options.output, writtenPath = toOutput ? file.path : resolve(terminal.folder, options.output)
  const mended: CheckedProgram = {
    name, path: writtenPath, lines: linesOf(text), result: outcome.after, findings: outcome.after.findings.map(({ file: at, ...rest }) => at === path ? rest : { ...rest, ...at === undefined ? {} : { file: at } }),
    leftOut: new Map(), inputs: [hashed('program', writtenPath, bytes), ...await hashCalled(outcome.after), ...await hashInputs(choice.setupPath)],
  }
  const exitCode = exitCodeOf([mended], options)
  const old = { uri: file.path === '-' ? 'stdin' : uriOf(shownPath(file.path, terminal.folder)), sha256: hashed('program', path, file.bytes ?? new TextEncoder().encode(file.text)).sha256, lines: linesOf(file.text) }
  const change = outcome.report === undefined ? {} : { mend: mendProperties(outcome.report, old) }
  const report = reportOf([mended], { failOn: options.failOn, only: [] }, terminal, services, exitCode)
  const sink = toOutput ? terminal.errors : terminal.output
  const said = options.format === 'sarif' ? renderSarif({ ...report, ...change })
    : `${renderMend(outcome, { before: file.name, after: name, sheet: options.setupOutput })}\n${renderText(report, wantsColour(sink, terminal.environment))}`
  await sink.write(said)
  return exitCode
}

/** Writes the sheet with the stick-outs that were found; a sentence where there are none or it cannot be written. */
async function writeSheet(to: string, { report }: MendOutcome, terminal: Terminal): Promise<string | undefined> {
  const sheets = (report?.reach ?? []).flatMap(({ sheet }) => sheet === undefined ? [] : [sheet]), path = sheets[0]?.path
  if (path === undefined) {
    await terminal.errors.write(`toolwake: No stick-out has to change; ${to} was not written.\n`)
    return undefined
  }
  const { bytes, failure } = await readBytes(path, 'The setup sheet', LARGEST_SHEET)
  if (bytes === undefined) return failure
  return writeWhole(to, terminal.folder, encodeLike(bytes, applyEdits(decode(bytes), sheets.map(({ edit }) => edit))), 'The setup sheet')
}

/** The program itself may be written over, since it was named twice; the sheet may not. */
function outputTrouble(options: MendOptions, file: ProgramFile, terminal: Terminal): Promise<string | undefined> {
  const inputs = options.setup === undefined ? [] : [resolve(terminal.folder, options.setup)]
  return outputFault(options.output, terminal.folder, inputs.filter(path => path !== file.path))
}
