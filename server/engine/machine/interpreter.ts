import type { Cancellation } from '../../../shared/cancellation.ts'
import type { Kinematics } from '../../../shared/kinematics.ts'
import type { Machine } from '../../../shared/machine.ts'
import type { Report } from '../../../shared/problem.ts'
import type { Setup } from '../../../shared/setup.ts'
import { ToolpathBuilder } from '../../../shared/toolpath.ts'
import type { Toolpath } from '../../../shared/toolpath.ts'
import type { Block } from '../nc/block.ts'
import { BlockReader } from '../nc/block-reader.ts'
import { lineStartsOf } from '../nc/line-index.ts'
import { BlockExecutor } from './block-executor.ts'
import { buildDialect } from './dialect.ts'
import type { ModalState } from './modal-state.ts'
import type { MotionSink } from './motion-maker.ts'
import { ProblemCollector } from './problem-collector.ts'
import { cloneState, copyState, startState } from './start-state.ts'

/** One block with the state on both sides of it. The records are used again: copy what is kept. */
export interface InterpretedBlock {
  readonly block: Block
  readonly before: Readonly<ModalState>
  readonly after: Readonly<ModalState>
  /** Motions of the block: [firstMotion, endMotion) in the toolpath under construction. */
  readonly firstMotion: number
  readonly endMotion: number
}

export interface InterpretInput {
  readonly machine: Machine
  readonly setup: Setup | undefined
  readonly kinematics: Kinematics
  readonly report: Report
  readonly onBlock?: (step: InterpretedBlock) => void
  readonly cancellation?: Cancellation
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
  /** What is in force before that 0-based line. */
  readonly stateAt: (line: number) => ModalState
}

/** Lines between two kept states: a state anywhere costs at most as many blocks. */
const CHECKPOINT_LINES = 1000

/** Blocks between two looks at whether the answer is still wanted. */
const CANCELLATION_BLOCKS = 1024

/** Reads a program and runs it through the control. Never throws; problems go to `report`. */
export function interpret(text: string, input: InterpretInput): Interpretation {
  const { machine, setup, kinematics, onBlock, cancellation } = input
  const lineStarts = lineStartsOf(text)
  const dialect = buildDialect(machine.control)
  const problems = new ProblemCollector(input.report)
  const readerOptions = { wholeNumber: machine.control.wholeNumber, lineStarts }
  const reader = new BlockReader(text, readerOptions, problems.tell)
  const state = startState(machine)
  const builder = new ToolpathBuilder(machine.axes.map(axis => axis.letter), state.joints)
  const executor = new BlockExecutor({ machine, setup, kinematics, dialect, problems, sink: builder }, state, reader.block)
  const checkpoints: ModalState[] = [cloneState(state)]
  const before = cloneState(state)
  const step = { block: reader.block, before, after: state, firstMotion: 0, endMotion: 0 }
  let blockCount = 0
  let percents = 0
  /** Line of the lone % that ended the program. */
  let percentEnd = Infinity
  let complete = true
  for (let block = reader.next(), n = 1; block !== undefined; block = reader.next(), n++) {
    if (n % CANCELLATION_BLOCKS === 0 && cancellation?.cancelled() === true) {
      complete = false
      break
    }
    while (checkpoints.length * CHECKPOINT_LINES <= block.line) checkpoints.push(cloneState(state))
    const endsHere = block.percent && endsAtPercent(percents++, blockCount)
    if (block.count > 0 || block.sequence >= 0) blockCount++
    if (onBlock !== undefined) {
      copyState(state, before)
      step.firstMotion = builder.count
    }
    if (endsHere) state.ended = true
    else executor.execute(block)
    if (onBlock !== undefined) {
      step.endMotion = builder.count
      onBlock(step)
    }
    if (endsHere) {
      percentEnd = block.line
      break
    }
  }
  executor.finish()
  problems.finish()

  const stateAt = (line: number): ModalState => {
    const wanted = Math.max(0, Math.floor(line))
    const checkpoint = Math.min(Math.floor(wanted / CHECKPOINT_LINES), checkpoints.length - 1)
    const replayed = cloneState(checkpoints[checkpoint] ?? state)
    const silent = new ProblemCollector(() => undefined)
    const again = new BlockReader(text, readerOptions, silent.tell)
    const runner = new BlockExecutor({ machine, setup, kinematics, dialect, problems: silent, sink: nowhere() }, replayed, again.block)
    again.seek(checkpoint * CHECKPOINT_LINES)
    for (let block = again.next(); block !== undefined && block.line < wanted && !replayed.ended; block = again.next()) {
      if (block.line === percentEnd) replayed.ended = true
      else runner.execute(block)
    }
    return replayed
  }
  return { toolpath: builder.finish(), lineStarts, blockCount, dwellSeconds: executor.dwellSeconds, final: cloneState(state), complete, stateAt }
}

/** NISTIR 6556 3.1: a lone % before the first block starts the program, any other ends it. */
function endsAtPercent(percentsBefore: number, blocksBefore: number): boolean {
  return percentsBefore > 0 || blocksBefore > 0
}

/** Takes motions and forgets them. */
function nowhere(): MotionSink {
  return { count: 0, push: () => 0 }
}
