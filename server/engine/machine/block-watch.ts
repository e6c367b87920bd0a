import type { Block } from '../nc/block.ts'
import type { InterpretedBlock } from './interpreter.ts'
import type { ModalState } from './modal-state.ts'
import type { MotionSink } from './motion-maker.ts'
import type { ProgramRun } from './program-run.ts'
import { cloneState, copyState } from './start-state.ts'

/** Runs blocks under the eyes of somebody who wants the state on both sides of each. */
export class BlockWatch {
  readonly #run: ProgramRun
  readonly #state: ModalState
  readonly #before: ModalState
  readonly #step

  constructor(run: ProgramRun, state: ModalState) {
    this.#run = run
    this.#state = state
    this.#before = cloneState(state)
    const file: string | undefined = undefined
    this.#step = { block: run.source.reader.block, before: this.#before, after: state, firstMotion: 0, endMotion: 0, isRepeated: false, callSites: run.callSites, file: file as string | undefined }
  }

  /** Runs the block and shows it. `pass`: how often it has run before; `motions`: how many there are before those of the sink. */
  run(block: Block, pass: number, sink: Pick<MotionSink, 'count'>, motions: number, see: (step: InterpretedBlock) => void): void {
    const step = this.#step
    copyState(this.#state, this.#before)
    step.block = block
    step.file = this.#run.source.path
    step.isRepeated = pass > 0
    step.firstMotion = motions + sink.count
    this.#run.run(block)
    this.#run.executor.settle()
    step.endMotion = motions + sink.count
    see(step)
  }
}
