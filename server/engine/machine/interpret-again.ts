import { atOnce, type Stepwise } from '../../../shared/stepwise.ts'
import { ToolpathBuilder } from '../../../shared/toolpath.ts'
import { lineOf } from '../nc/line-index.ts'
import { binaryAt } from '../nc/program-text.ts'
import { changeBetween, lineStartsAfter } from '../nc/text-change.ts'
import type { TextChange } from '../nc/text-change.ts'
import { BlockWatch } from './block-watch.ts'
import { beginRun, blockReplay, BLOCKS_PER_STEP, CHECKPOINT_BLOCKS, interpret, runContext, shareOf, stateReader } from './interpreter.ts'
import type { InterpretInput, Interpretation } from './interpreter.ts'
import { MOST_EVENTS, ProblemCollector } from './problem-collector.ts'
import type { ProblemEvent } from './problem-collector.ts'
import { eventAfter, goOnAlike, stateAfter } from './run-record.ts'
import type { Checkpoint, RunRecord } from './run-record.ts'
import type { RunVisitor } from './run-visitor.ts'
import { spliceToolpath } from './splice-toolpath.ts'
import { cloneState } from './start-state.ts'

/**
 * The run of a text that has been edited: what `interpret` answers, with less work. It goes on from the last
 * checkpoint before the edit until it stands, behind the edit, at an earlier checkpoint in the same state; the
 * rest is that of the run before. Programs that jump, loop or call are run as a whole, and so is everything for
 * somebody who wants to see each block and cannot take up where the run before left off.
 */
export function interpretAgain(previous: Interpretation, text: string, input: InterpretInput): Interpretation {
  return atOnce(goOn(previous, text, changeBetween(previous.record.text, text), input)) ?? interpret(text, input)
}

/** The same in steps, with what has changed in the text; undefined where the run before is of no help. A visitor of the input is of no use either after that. */
export function* goOn(previous: Interpretation, text: string, change: TextChange, input: InterpretInput): Stepwise<Interpretation | undefined> {
  const old = previous.record
  if (!isUsable(previous, old, input) || old.events === undefined || binaryAt(text) !== undefined) return undefined
  const lineStarts = lineStartsAfter(previous.lineStarts, change, text)
  const firstLine = lineOf(previous.lineStarts, Math.max(0, change.start - 1))
  const from = old.checkpoints.findLast(each => each.run.line <= firstLine)
  if (from === undefined) return undefined

  const { visitor } = input
  visitor?.takeUp(from.mark)
  const events: ProblemEvent[] = [], state = cloneState(from.run.state), context = runContext(text, lineStarts, input)
  const builder = new ToolpathBuilder(input.machine.axes.map(axis => axis.letter), state.joints, 2 * CHECKPOINT_BLOCKS)
  const run = beginRun(context, from.run, state, new ProblemCollector(() => undefined, events), builder)
  const here = (): Checkpoint => ({
    run: run.snapshot(), motions: from.motions + builder.count, arcs: from.arcs + builder.arcCount, events: from.events + events.length,
    dwellSeconds: from.dwellSeconds + run.executor.dwellSeconds, mark: visitor?.keep(),
  })
  const checkpoints = old.checkpoints.slice(0, old.checkpoints.indexOf(from) + 1)
  const firstStep = new Int32Array(lineStarts.length)
  firstStep.set(old.firstStep.subarray(0, from.run.line))
  const watch = new BlockWatch(run, state)
  const meeting = new Meeting(old, previous.lineStarts, lineStarts, change)
  let to: Checkpoint | undefined, next = from.run.steps + CHECKPOINT_BLOCKS
  for (let block = run.next(); block !== undefined; block = run.next()) {
    if (run.steps % BLOCKS_PER_STEP === 0) yield shareOf(run, lineStarts)
    firstStep[block.line] = run.steps
    if (visitor === undefined) run.run(block)
    else watch.run(block, 0, builder, from.motions, visitor.block)
    if (run.hasFlowed || events.length > MOST_EVENTS) return undefined
    if (!run.executor.isSettled) continue
    const met = meeting.at(run.source.reader.nextLine)
    if (met !== undefined && goOnAlike(met.run, run.snapshot(), change) && visitor?.standsAt(met.mark, change) !== false) {
      to = met
      break
    }
    if (run.steps < next) continue
    checkpoints.push(here())
    next = run.steps + CHECKPOINT_BLOCKS
  }
  const lines = lineStarts.length - previous.lineStarts.length
  if (to === undefined) run.executor.finish()
  const end = here()
  const rest = to === undefined ? { events: [], checkpoints: [], final: cloneState(state) } : restOf(old, previous, to, end, change, lines, visitor)
  if (rest === undefined) return undefined
  if (to !== undefined) moveSteps(old.firstStep, firstStep, to.run.line, lines, end.run.steps - to.run.steps)
  const tail = to?.motions ?? previous.toolpath.count
  visitor?.keepMotions({ head: from.motions, tail, by: end.motions - tail })
  const all = [...old.events.slice(0, from.events), ...events, ...rest.events]
  const problems = new ProblemCollector(input.report)
  problems.take(all)
  // The executor speaks of what it has counted to the collector of the stretch: it has to be heard here.
  const told = events.length
  run.executor.tellCounts()
  problems.take(events.slice(told))
  problems.finish()
  const kept = [...checkpoints, ...rest.checkpoints], steps = end.run.steps + (to === undefined ? 0 : old.steps - to.run.steps)
  return {
    toolpath: spliceToolpath(previous.toolpath, from, builder.finish(), to, lines), lineStarts,
    blockCount: end.run.blockCount + (to === undefined ? 0 : previous.blockCount - to.run.blockCount),
    dwellSeconds: end.dwellSeconds + (to === undefined ? 0 : previous.dwellSeconds - to.dwellSeconds),
    final: rest.final, complete: true, repeats: false,
    stateAt: stateReader(context, firstStep, kept, steps, rest.final),
    replay: blockReplay(context, firstStep, kept, steps),
    record: { ...old, text, checkpoints: kept, firstStep, steps, events: all.length > MOST_EVENTS ? undefined : all },
  }
}

/** Puts down the steps of the lines from `from` on as they are after the edit: `lines` lines farther down, `by` steps later. */
function moveSteps(before: Int32Array, after: Int32Array, from: number, lines: number, by: number): void {
  after.set(before.subarray(from), from + lines)
  if (by === 0) return
  for (let line = from + lines; line < after.length; line++) if ((after[line] ?? 0) > 0) after[line] = (after[line] ?? 0) + by
}

function isUsable(previous: Interpretation, old: RunRecord, input: InterpretInput): boolean {
  return previous.complete && !previous.repeats && input.onBlock === undefined && input.cancellation?.cancelled() !== true
    && old.machine === input.machine && old.setup === input.setup && old.kinematics === input.kinematics
}

/** Finds the checkpoints of the run before that the new run comes by, behind the change. */
class Meeting {
  readonly #checkpoints: readonly Checkpoint[]
  readonly #before: Uint32Array
  readonly #after: Uint32Array
  readonly #by: number
  readonly #lines: number
  #next: number

  constructor(old: RunRecord, before: Uint32Array, after: Uint32Array, change: TextChange) {
    this.#checkpoints = old.checkpoints
    this.#before = before
    this.#after = after
    this.#by = change.newEnd - change.oldEnd
    this.#lines = after.length - before.length
    const first = old.checkpoints.findIndex(each => (before[each.run.line] ?? 0) >= change.oldEnd && each.run.line > 0)
    this.#next = first < 0 ? old.checkpoints.length : first
  }

  /** The checkpoint that stands where the new text's line begins. */
  at(line: number): Checkpoint | undefined {
    for (;;) {
      const candidate = this.#checkpoints[this.#next]
      if (candidate === undefined || candidate.run.line + this.#lines > line) return undefined
      this.#next++
      if (candidate.run.line + this.#lines === line && (this.#before[candidate.run.line] ?? 0) + this.#by === this.#after[line]) return candidate
    }
  }
}

/** What followed the checkpoint in the run before, as the new text has it; `end`: how far the new run has come there. */
function restOf(old: RunRecord, previous: Interpretation, to: Checkpoint, end: Checkpoint, change: TextChange, lines: number, visitor: RunVisitor | undefined): {
  readonly events: readonly ProblemEvent[], readonly checkpoints: readonly Checkpoint[], readonly final: Interpretation['final'],
} | undefined {
  const events = (old.events ?? []).slice(to.events).map(event => eventAfter(event, change, lines))
  const known = events.filter(event => event !== undefined), final = stateAfter(previous.final, change)
  if (known.length < events.length || final === undefined) return undefined
  const checkpoints: Checkpoint[] = [], later = old.checkpoints.slice(old.checkpoints.indexOf(to))
  const marks = visitor === undefined ? [] : visitor.takeRest(to.mark, later.map(each => each.mark), { change, motions: end.motions - to.motions })
  if (marks === undefined) return undefined
  for (const [i, each] of later.entries()) {
    const state = stateAfter(each.run.state, change)
    if (state === undefined) return undefined
    const { run } = each
    checkpoints.push({
      run: {
        ...run, state, line: run.line + lines, topLine: run.topLine + lines, steps: run.steps + end.run.steps - to.run.steps,
        blockCount: run.blockCount + end.run.blockCount - to.run.blockCount, unknownStarts: end.run.unknownStarts,
      },
      motions: each.motions + end.motions - to.motions, arcs: each.arcs + end.arcs - to.arcs,
      events: each.events + end.events - to.events, dwellSeconds: each.dwellSeconds + end.dwellSeconds - to.dwellSeconds,
      mark: marks[i],
    })
  }
  return { events: known, checkpoints, final: cloneState(final) }
}
