import type { Cancellation } from '../../../shared/cancellation.ts'
import type { Related } from '../../../shared/finding.ts'
import type { Kinematics } from '../../../shared/kinematics.ts'
import type { Control, Machine, VariableControl } from '../../../shared/machine.ts'
import type { Report } from '../../../shared/problem.ts'
import type { Setup } from '../../../shared/setup.ts'
import type { Span } from '../../../shared/span.ts'
import { atOnce, type Stepwise } from '../../../shared/stepwise.ts'
import { ToolpathBuilder } from '../../../shared/toolpath.ts'
import type { Toolpath } from '../../../shared/toolpath.ts'
import type { Block } from '../nc/block.ts'
import { BlockReader } from '../nc/block-reader.ts'
import type { ReaderOptions } from '../nc/block-reader.ts'
import { lineStartsOf } from '../nc/line-index.ts'
import { binaryAt } from '../nc/program-text.ts'
import { blockSpan, findWord } from '../nc/words.ts'
import { buildDialect, variableRules } from './dialect.ts'
import type { Dialect } from './dialect.ts'
import { flowProblems } from './flow-problems.ts'
import type { ModalState } from './modal-state.ts'
import { MOST_EVENTS, ProblemCollector } from './problem-collector.ts'
import type { ProblemEvent } from './problem-collector.ts'
import { ProgramRun } from './program-run.ts'
import type { RunSnapshot } from './program-run.ts'
import { ProgramSource } from './program-source.ts'
import type { ProgramFile } from './program-source.ts'
import { BlockWatch } from './block-watch.ts'
import type { Checkpoint, RunRecord } from './run-record.ts'
import type { RunVisitor } from './run-visitor.ts'
import { cloneState, copyState, startState } from './start-state.ts'
import { Variables } from './variables.ts'

/** One block with the state on both sides of it. The records are used again: copy what is kept. */
export interface InterpretedBlock {
  readonly block: Block
  readonly before: Readonly<ModalState>
  readonly after: Readonly<ModalState>
  /** Motions of the block: [firstMotion, endMotion) in the toolpath under construction. */
  readonly firstMotion: number
  readonly endMotion: number
  /** The block has run before, in a loop or an earlier call. */
  readonly isRepeated: boolean
  /** The calls that led to the block, the nearest first. */
  readonly callSites: () => readonly Related[]
  /** Path of the called file that the block stands in; undefined in the program itself. */
  readonly file: string | undefined
}

export interface InterpretInput {
  readonly machine: Machine
  readonly setup: Setup | undefined
  readonly kinematics: Kinematics
  readonly report: Report
  /** Told of each block of the program itself. */
  readonly onBlock?: (step: InterpretedBlock) => void
  /** After every block, those of called files too: motions [first, end) came out of it. `line`: -1 in a called file. The state is used again. */
  readonly onMotions?: (state: Readonly<ModalState>, line: number, first: number, end: number) => void
  /** Told of each block of the program and of the files it calls. */
  readonly visitor?: RunVisitor
  readonly cancellation?: Cancellation
  /** The text of a program that is called by its number and kept in a file of its own. */
  readonly programs?: (number: number) => ProgramFile | undefined
}

export interface Interpretation {
  readonly toolpath: Toolpath
  /** Offset of each line's start; one more entry than lines. */
  readonly lineStarts: Uint32Array
  /** Lines that hold words. */
  readonly blockCount: number
  readonly dwellSeconds: number
  readonly final: ModalState
  /** False when the asker went away before the end. */
  readonly complete: boolean
  /** Jumps, loops or calls have been followed: a line may have run several times. */
  readonly repeats: boolean
  /** What is in force before that 0-based line. */
  readonly stateAt: (line: number) => ModalState
  /** Shows again what ran on the lines [first, last], from where the first of them first ran, at most `most` blocks. */
  readonly replay: Replay
  /** For `interpretAgain`. */
  readonly record: RunRecord
}

/** The records shown are used again: copy what is kept. Blocks of called files are left out; motions are not made. */
export type Replay = (first: number, last: number, most: number, show: (step: ReplayedBlock) => void) => void

/** A block as it ran, its words worked out. */
export type ReplayedBlock = Pick<InterpretedBlock, 'block' | 'before' | 'after'>

/** Blocks between two kept states: a state anywhere costs at most as many blocks. */
export const CHECKPOINT_BLOCKS = 1000

/** Blocks between two looks at whether the answer is still wanted. */
export const BLOCKS_PER_STEP = 1024

/** What can be said about a block without running it. */
const textRules: ReadonlySet<string> = new Set(['malformed-word', 'malformed-number', 'unclosed-comment', 'unclosed-bracket', 'unknown-letter', 'stray-text'])

/** A run's surroundings: the text with its lines, and what it runs on. */
export interface RunContext {
  readonly text: string
  readonly lineStarts: Uint32Array
  readonly input: InterpretInput
  readonly dialect: Dialect
}

export function runContext(text: string, lineStarts: Uint32Array, input: InterpretInput): RunContext {
  return { text, lineStarts, input, dialect: buildDialect(input.machine.control) }
}

/** Takes motions and keeps them, or forgets them. */
export type RunSink = Pick<ToolpathBuilder, 'count' | 'push' | 'setCall' | 'placeOf'>

/** A run that begins at the start, or goes on from `from`; `state` changes with it. */
export function beginRun({ text, lineStarts, input, dialect }: RunContext, from: RunSnapshot | undefined, state: ModalState, problems: ProblemCollector, sink: RunSink): ProgramRun {
  const { machine, setup, kinematics, programs } = input
  const rules = variableRules(machine.control), variables = new Variables(rules)
  const readerOptions = readerOptionsOf(machine.control, variables, rules)
  // Behind the end only the text itself can be judged.
  const report: Report = problem => { if (!state.ended || textRules.has(problem.rule)) problems.tell(problem) }
  const program = new ProgramSource(text, -1, undefined, { ...readerOptions, lineStarts }, report)
  return new ProgramRun({
    machine, setup, kinematics, dialect, problems, sink, variables, program, readerOptions, programs,
    onCall: record => { sink.setCall(record) },
    placeOf: (line, ownLine, call) => sink.placeOf(line, ownLine, call),
  }, state, from)
}

/** Reads a program and runs it through the control. Never throws; problems go to `report`. */
export function interpret(text: string, input: InterpretInput): Interpretation {
  return atOnce(interpretStepwise(text, input))
}

/** The same in steps of some thousand blocks. */
export function* interpretStepwise(text: string, input: InterpretInput): Stepwise<Interpretation> {
  const { machine, setup, kinematics, onBlock, onMotions, visitor, cancellation } = input
  const lineStarts = lineStartsOf(text), context = runContext(text, lineStarts, input)
  const events: ProblemEvent[] = []
  const problems = new ProblemCollector(input.report, events)
  const state = startState(machine)
  const builder = new ToolpathBuilder(machine.axes.map(axis => axis.letter), state.joints, lineStarts.length)
  const run = beginRun(context, undefined, state, problems, builder)
  const here = (): Checkpoint => ({
    run: run.snapshot(), motions: builder.count, arcs: builder.arcCount, events: events.length, dwellSeconds: run.executor.dwellSeconds, mark: visitor?.keep(),
  })
  const checkpoints: Checkpoint[] = [here()]
  const firstStep = new Int32Array(lineStarts.length)
  run.hasRun = (line, at) => (firstStep[line] ?? 0) > 0 && (firstStep[line] ?? 0) < at
  const passes = new Passes(lineStarts.length), watch = new BlockWatch(run, state)
  let complete = true, next = CHECKPOINT_BLOCKS
  for (let block = run.next(); block !== undefined; block = run.next()) {
    const isOwn = run.isInProgram
    if (isOwn && firstStep[block.line] === 0) firstStep[block.line] = run.steps
    if (run.steps % BLOCKS_PER_STEP === 0) {
      if (cancellation?.cancelled() === true) {
        complete = false
        break
      }
      yield shareOf(run, lineStarts)
    }
    const pass = run.hasFlowed ? passes.next(run.source.number, block.line, isOwn && firstStep[block.line] !== run.steps) : 0
    if (run.hasFlowed) builder.setPass(pass)
    const see = visitor?.block ?? (isOwn ? onBlock : undefined), firstMotion = builder.count
    if (see === undefined) run.run(block)
    else watch.run(block, pass, builder, 0, see)
    onMotions?.(state, isOwn ? block.line : -1, firstMotion, builder.count)
    if (run.steps >= next && run.executor.isSettled) {
      checkpoints.push(here())
      next = run.steps + CHECKPOINT_BLOCKS
    }
  }
  run.executor.finish()
  const told = events.length
  run.executor.tellCounts()
  if (run.hasFlowed && complete) readLeftOut(text, machine.control, lineStarts, firstStep, problems, run.jumpedFrom)
  problems.finish()
  const isKept = told <= MOST_EVENTS && binaryAt(text) === undefined
  return {
    toolpath: builder.finish(run.calls), lineStarts, blockCount: run.blockCount, dwellSeconds: run.executor.dwellSeconds, final: cloneState(state), complete,
    repeats: run.hasFlowed, stateAt: stateReader(context, firstStep, checkpoints, run.steps, cloneState(state)),
    replay: blockReplay(context, firstStep, checkpoints, run.steps),
    record: { machine, setup, kinematics, text, checkpoints, firstStep, steps: run.steps, events: isKept ? events.slice(0, told) : undefined },
  }
}

/** How much of the text has been run, as far as it runs once from top to bottom. */
export function shareOf(run: ProgramRun, lineStarts: Uint32Array): number {
  return Math.min(1, run.steps / lineStarts.length)
}

/** Answers for what is in force before a line, by going on from the checkpoint before it. */
export function stateReader(context: RunContext, firstStep: Int32Array, checkpoints: readonly Checkpoint[], steps: number, final: ModalState): (line: number) => ModalState {
  return line => {
    const target = stepOfLine(firstStep, line, steps), replayed = runUpTo(context, firstStep, checkpoints, target)
    return replayed?.state ?? cloneState(final)
  }
}

export function blockReplay(context: RunContext, firstStep: Int32Array, checkpoints: readonly Checkpoint[], steps: number): Replay {
  return (first, last, most, show) => {
    const replayed = runUpTo(context, firstStep, checkpoints, stepOfLine(firstStep, first, steps))
    if (replayed === undefined) return
    const { run, state, next } = replayed, before = cloneState(state)
    let block = next
    for (let count = 0; block !== undefined && count < most && !state.ended; count++) {
      const isShown = run.isInProgram && block.line >= first && block.line <= last
      if (run.isInProgram && block.line > last) return
      if (isShown) copyState(state, before)
      run.run(block)
      run.executor.settle()
      if (isShown) show({ block, before, after: state })
      block = run.next()
    }
  }
}

/** The step at which a line first ran, or the next line that has run. */
function stepOfLine(firstStep: Int32Array, line: number, steps: number): number {
  let wanted = Math.max(0, Math.floor(line))
  while (wanted < firstStep.length && firstStep[wanted] === 0) wanted++
  return firstStep[wanted] ?? steps + 1
}

/** A run that stands before that step, and the block it comes to then; undefined where it has never been so far. */
function runUpTo(context: RunContext, firstStep: Int32Array, checkpoints: readonly Checkpoint[], target: number): { readonly run: ProgramRun, readonly state: ModalState, readonly next: Block | undefined } | undefined {
  const checkpoint = checkpoints.findLast(each => each.run.steps < target)?.run
  if (checkpoint === undefined) return undefined
  const state = cloneState(checkpoint.state)
  const run = beginRun(context, checkpoint, state, new ProblemCollector(() => undefined), nowhere)
  run.hasRun = (at, step) => (firstStep[at] ?? 0) > 0 && (firstStep[at] ?? 0) < step
  let block = run.next()
  for (; block !== undefined && run.steps < target && !state.ended; block = run.next()) run.run(block)
  run.executor.settle()
  return { run, state, next: block }
}

function readerOptionsOf(control: Control, variables: Variables, rules: VariableControl): ReaderOptions {
  const { wholeNumber } = control
  if (control.variables === false) return { wholeNumber }
  return { wholeNumber, variables, expressions: rules, followsFlow: control.jumps !== false }
}

/**
 * Blocks that jumps have passed over: what is wrong with their text is told all the same, and so is that nothing can
 * lead to them. A sequence number, a program's number or a loop may.
 */
function readLeftOut(text: string, control: Control, lineStarts: Uint32Array, firstStep: Int32Array, problems: ProblemCollector, jumpedFrom: ReadonlySet<number>): void {
  const reader = new BlockReader(text, { wholeNumber: control.wholeNumber, lineStarts }, problem => { if (textRules.has(problem.rule)) problems.tell(problem) })
  let dead: { readonly span: Span, count: number } | undefined
  const tellDead = () => {
    if (dead !== undefined) problems.tell({ ...flowProblems.jumpedOver(dead.count), span: dead.span })
    dead = undefined
  }
  let isBehindJump = false
  for (let line = 0; line < lineStarts.length - 1; line++) {
    if (firstStep[line] !== 0) {
      tellDead()
      isBehindJump = jumpedFrom.has(line)
      continue
    }
    if (lineStarts[line] === lineStarts[line + 1]) continue
    reader.seek(line)
    const block = reader.next()
    // A blank line has led on to the next that is not.
    if (block === undefined || block.percent && line > 0) break
    if (block.line > line) {
      line = block.line - 1
      continue
    }
    if (block.sequence >= 0 || findWord(block, 'O') >= 0 || /\b(?:DO|END)\s*\d/i.test(text.slice(block.start, block.end))) isBehindJump = false
    if (!isBehindJump || block.count === 0) continue
    if (dead === undefined) dead = { span: blockSpan(block), count: 1 }
    else dead.count++
  }
  tellDead()
}

/** Counts how often each block has run, from the first jump or call on. */
class Passes {
  readonly #lines: number
  #own: Uint32Array | undefined
  readonly #others = new Map<string, number>()

  constructor(lines: number) {
    this.#lines = lines
  }

  /** Runs of this block before the one that begins. `hasRun`: of a block of the program, that it has run at all. */
  next(source: number, line: number, hasRun: boolean): number {
    if (source < 0) {
      this.#own ??= new Uint32Array(this.#lines)
      if (!hasRun) return 0
      this.#own[line] = (this.#own[line] ?? 0) + 1
      return this.#own[line] ?? 0
    }
    const key = `${source} ${line}`, before = this.#others.get(key) ?? 0
    this.#others.set(key, before + 1)
    return before
  }
}

/** Takes motions and forgets them. */
const nowhere: RunSink = { count: 0, push: () => 0, setCall: () => undefined, placeOf: line => line }
