import { resolve } from 'node:path'
import type { Finding } from '../../shared/finding.ts'
import { levels } from '../../shared/finding.ts'
import type { Cancellation } from '../../shared/cancellation.ts'
import type { CheckJob } from '../edge/check-job.ts'
import type { StorePlace } from '../edge/result-store.ts'
import { chooseSetup } from '../edge/setup-choice.ts'
import { fixesOf } from '../engine/editor-service.ts'
import type { CheckResult } from '../engine/service.ts'
import type { CheckOptions } from './arguments.ts'
import type { LineRange } from './block-range.ts'
import { liesInLines, linesOfRange } from './block-range.ts'
import type { Baseline } from './baseline.ts'
import { countsAgainst, type CheckedProgram, type CheckFigures, type CheckReport, type RuleWords } from './check-report.ts'
import { deliver } from './deliver-output.ts'
import { ExitCode } from './exit-codes.ts'
import { readBaseline, selectPrograms, withBaseline, type Selection } from './gate.ts'
import { hashCalled, SheetHashes } from './hash-inputs.ts'
import { meansOfCheck } from './means-of-check.ts'
import { namedSheet } from './named-sheet.ts'
import { nearestName } from './nearest-name.ts'
import type { ProgressLine } from './progress-line.ts'
import { noProgressLine, startProgressLine } from './progress-line.ts'
import type { ProgramFile } from './read-program.ts'
import { readProgram } from './read-program.ts'
import { renderSarif } from './render-sarif.ts'
import { renderText } from './render-text.ts'
import { shownPath, textReader } from './shown-files.ts'
import type { Terminal } from './terminal.ts'
import type { TextLines } from './text-lines.ts'
import { linesOf } from './text-lines.ts'
import { outputFault, writeWhole } from './write-output.ts'

/** Proven width of each contact figure, mm: what the text output states and the setup's limits are held against. */
export const BOUND = 0.002

/** Findings that say what a check could not see: whoever asks for contact alone must not miss them. */
const blindness: ReadonlySet<string> = new Set([
  'not-checked', 'setup-not-found', 'several-setups', 'setup-error',
  'mesh-unreadable', 'mesh-damaged', 'mesh-open', 'mesh-inside-out', 'mesh-units-doubtful',
])

/** What the commands that check need besides the work itself. */
export interface CommandServices {
  readonly rules: readonly RuleWords[]
  readonly version: string
  /** Milliseconds of a clock that never goes back. */
  readonly now: () => number
  readonly cancellation: Cancellation
  /** Where results are kept for the next time, if the call allows it. */
  readonly store?: StorePlace
  readonly threads: number
}

/** What the command needs done. Handed in, so that the way from call to exit code can be tested alone. */
export interface CheckServices extends CommandServices {
  readonly checkProgram: (request: CheckJob) => Promise<CheckResult>
  /** The same, with what would mend the findings. */
  readonly checkWithMends?: (request: CheckJob) => Promise<CheckResult>
}

export async function runCheck(options: CheckOptions, terminal: Terminal, services: CheckServices): Promise<ExitCode> {
  const complain = (sentence: string) => terminal.errors.write(`toolwake: ${sentence}\n`)
  const prepared = await prepare(options, terminal, services)
  if (typeof prepared === 'string') {
    await complain(prepared)
    return ExitCode.unusable
  }
  const { selection, baseline } = prepared

  const line = options.progress && terminal.errors.isTerminal ? startProgressLine(terminal.errors, services.now) : noProgressLine
  const checked: CheckedProgram[] = [], sheets = new SheetHashes()
  for (const [n, name] of selection.programs.entries()) {
    const file = await readProgram(name, terminal)
    const program = await checkOne(file, options, terminal, services, sheets, {
      ...line, show: step => line.show(selection.programs.length < 2 ? step : { ...step, doing: `${n + 1} of ${selection.programs.length}, ${step.doing}` }),
    })
    line.clear()
    if (typeof program === 'string') {
      await complain(program)
      return ExitCode.unusable
    }
    if (program.result === undefined) await complain(file.failure ?? '')
    checked.push(program)
  }

  const seen = new Set(checked.map(({ path }) => resolve(terminal.folder, path)))
  for (const program of options.setupFor.keys()) if (!seen.has(resolve(terminal.folder, program))) await complain(`--setup-for was of no use for ${program}, which is not among the programs checked.`)
  const files = { textOf: textReader(), shownPath: (path: string) => shownPath(path, terminal.folder), only: options.only }
  const programs = baseline === undefined ? checked : withBaseline(checked, baseline, files)
  const exitCode = options.writeBaseline === undefined || checked.some(({ result }) => result === undefined) ? exitCodeOf(programs, options) : ExitCode.clean
  const report = { ...reportOf(programs, options, terminal, services, exitCode), selection: selection.leftOut }
  if (options.writeBaseline !== undefined) {
    // What is written down as known has no state of its own.
    const unwritten = await writeWhole(options.writeBaseline, terminal.folder, renderSarif({ ...report, programs: checked }), 'The baseline')
    if (unwritten !== undefined) {
      await complain(unwritten)
      return ExitCode.unusable
    }
  }
  return deliver(colour => options.format === 'sarif' ? renderSarif(report) : renderText(report, colour), options.output, terminal, exitCode)
}

/** What is found out before the long work begins; a sentence where the call cannot be carried out. */
async function prepare(options: CheckOptions, terminal: Terminal, services: CheckServices): Promise<{ selection: Selection, baseline?: Baseline } | string> {
  const selection = unknownRule(options, services.rules) ?? await selectPrograms(options, terminal.folder)
  if (typeof selection === 'string') return selection
  const fault = await outputTrouble(options, selection.programs, terminal)
  if (fault !== undefined) return fault
  const baseline = options.baseline === undefined ? undefined : await readBaseline(options.baseline, terminal.folder)
  return typeof baseline === 'string' ? baseline : { selection, baseline }
}

/** One program checked, or a sentence where the call does not fit it. */
async function checkOne(
  file: ProgramFile, options: CheckOptions, terminal: Terminal, services: CheckServices, sheets: SheetHashes, line: ProgressLine,
): Promise<CheckedProgram | string> {
  const lines = linesOf(file.text)
  const inputs = file.input === undefined ? [] : [file.input]
  if (file.failure !== undefined) {
    const finding: Finding = { rule: 'not-checked', level: 'error', message: file.failure, span: { start: 0, end: 0 } }
    return { name: file.name, path: file.path, lines, findings: [finding], leftOut: new Map(), inputs }
  }
  const range = options.blocks === undefined ? undefined : linesOfRange(options.blocks, file.name, lines)
  if (typeof range === 'string') return range
  // What comes from standard input has no folder of its own: it is looked at from the working folder.
  const path = file.path === '-' ? resolve(terminal.folder, 'stdin') : file.path
  const choice = chooseSetup(path, namedSheet(options, terminal.folder, file.path), [terminal.folder])
  const asked = range === undefined ? lines.starts.length : range.last - range.first + 1
  const check = options.fixes === true ? services.checkWithMends ?? services.checkProgram : services.checkProgram
  await sheets.begin(choice.setupPath)
  const result = await check({
    path,
    text: file.text,
    ...choice,
    threads: options.threads ?? services.threads,
    epsilon: BOUND,
    ...meansOfCheck(options, services.store, terminal),
    lines: range === undefined ? undefined : { first: range.first - 1, last: range.last - 1 },
    cancellation: services.cancellation,
    // The search counts motions; the reader counts blocks.
    onProgress: (done, total) => line.show({ doing: file.name, share: done / total, blocks: done / total * asked }),
    onMeasured: (done, total) => line.show({ doing: `${file.name}, what is left on the part`, share: done / total }),
  })
  const files = await sheets.end(choice.setupPath)
  const { shown, leftOut } = select([...result.findings, ...files.changed], options, services.rules, lines, range)
  return { name: file.name, path: file.path, lines, result: { ...figuresOf(result), mend: result.mend }, findings: shown, leftOut, ...options.format === 'sarif' ? { fixes: fixesOf(result.program, shown) } : {}, inputs: [...inputs, ...await hashCalled(result), ...files.inputs] }
}

/**
 * What `--only` and `--blocks` leave. Findings that say what kept a check from running stay with the
 * rules that depend on it: asking for gouges alone must not hide that none could be looked for.
 */
function select(
  findings: readonly Finding[], options: CheckOptions, rules: readonly RuleWords[], lines: TextLines, range: LineRange | undefined,
): { shown: Finding[], leftOut: Map<string, number> } {
  const groupOf = new Map(rules.map(rule => [rule.id, rule.group]))
  const needsSight = options.only.some(rule => ['motion', 'contact', 'result'].includes(groupOf.get(rule) ?? ''))
  const leftOut = new Map<string, number>()
  const shown = findings.filter(finding => {
    const saysBlind = blindness.has(finding.rule)
    const wanted = options.only.length === 0 || options.only.includes(finding.rule) || (saysBlind && needsSight)
    if (wanted && (range === undefined || saysBlind || liesInLines(finding, lines, range))) return true
    leftOut.set(finding.rule, (leftOut.get(finding.rule) ?? 0) + 1)
    return false
  })
  return { shown, leftOut }
}

/** An undecided finding counts at its level; an accepted one never counts. */
export function exitCodeOf(programs: readonly CheckedProgram[], options: Pick<CheckOptions, 'failOn'>): ExitCode {
  if (programs.some(program => program.result === undefined)) return ExitCode.unusable
  const failing = programs.some(program => program.findings.some(finding =>
    countsAgainst(program, finding) && levels.indexOf(finding.level) >= levels.indexOf(options.failOn)))
  return failing ? ExitCode.found : ExitCode.clean
}

export function reportOf(
  programs: readonly CheckedProgram[], options: Pick<CheckOptions, 'failOn' | 'only' | 'blocks'>, terminal: Terminal, services: CommandServices, exitCode: ExitCode,
): CheckReport {
  return {
    version: services.version,
    programs,
    rules: services.rules,
    textOf: textReader(),
    shownPath: path => shownPath(path, terminal.folder),
    failOn: options.failOn,
    only: options.only,
    blocks: options.blocks === undefined ? undefined : rangeAsWritten(options.blocks),
    exitCode,
  }
}

/** Motions and text of hundreds of programs would fill the memory; what is printed needs the figures alone. */
export function figuresOf({ blocks, motions, motionChecked, seconds, tools, axes, stock, surface, surfaceLost }: CheckResult): CheckFigures {
  return { blocks, motions, motionChecked, seconds, tools, axes, ...stock === undefined ? {} : { stock }, ...surface === undefined ? {} : { surface }, ...surfaceLost === undefined ? {} : { surfaceLost } }
}

function unknownRule(options: CheckOptions, rules: readonly RuleWords[]): string | undefined {
  const known = rules.map(rule => rule.id)
  const unknown = options.only.find(rule => !known.includes(rule))
  if (unknown === undefined) return undefined
  const near = nearestName(unknown, known)
  return `--only: there is no rule "${unknown}"${near === undefined ? '; "toolwake explain" lists them' : `; did you mean "${near}"?`}`
}

async function outputTrouble(options: CheckOptions, programs: readonly string[], terminal: Terminal): Promise<string | undefined> {
  const inputs = [...programs.filter(name => name !== '-'), ...options.setup === undefined ? [] : [options.setup], ...options.setupFor.values()].map(name => resolve(terminal.folder, name))
  return await (options.output === undefined ? undefined : outputFault(options.output, terminal.folder, inputs))
    ?? await (options.writeBaseline === undefined ? undefined : outputFault(options.writeBaseline, terminal.folder, inputs, '--write-baseline'))
}

function rangeAsWritten(range: NonNullable<CheckOptions['blocks']>): string {
  const mark = (end: typeof range.from) => end === undefined ? '' : `${end.by === 'sequence' ? 'N' : ''}${end.number}`
  return `${mark(range.from)}..${mark(range.to)}`
}
