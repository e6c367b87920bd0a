import type { Related } from '../../../shared/finding.ts'
import type { Span } from '../../../shared/span.ts'
import type { CallRecord } from '../../../shared/toolpath.ts'
import type { Block } from '../nc/block.ts'
import type { Flow } from '../nc/flow-words.ts'
import type { ReaderOptions } from '../nc/block-reader.ts'
import { lineSpan } from '../nc/line-index.ts'
import { BlockExecutor } from './block-executor.ts'
import type { ExecutionInput } from './block-executor.ts'
import type { CallRequest } from './call-request.ts'
import { flowProblems } from './flow-problems.ts'
import type { ModalState } from './modal-state.ts'
import type { UnknownStarts } from './motion-maker.ts'
import { ProgramSource } from './program-source.ts'
import type { ProgramFile } from './program-source.ts'
import { cloneState } from './start-state.ts'
import type { VariableSnapshot } from './variables.ts'

/** Blocks run again by loops and calls before the loop is left. */
export const MOST_REPEATED_BLOCKS = 200_000
/** How deep calls may stand in each other where the machine file does not say. Common practice. */
const USUAL_CALL_DEPTH = 10

/** When a jump back was last taken. */
type Jumps = Map<string, { readonly version: number, readonly step: number }>

/** One call in progress. */
interface Frame {
  /** Number of the calling text's file; -1: the program itself. */
  readonly from: number
  /** Where the caller goes on. */
  readonly returnLine: number
  /** Where the called program begins. */
  readonly startLine: number
  readonly repeatsLeft: number
  readonly hasLocals: boolean
  readonly isModal: boolean
  /** Index into the call records of the caller, and its line of the program. */
  readonly call: number
  readonly line: number
  /** Jumps of the caller. */
  readonly jumps: Jumps
}

type Modal = Extract<CallRequest, { kind: 'modal' }>

/** Where a run stands between two blocks: enough to go on from there. */
export interface RunSnapshot {
  readonly state: ModalState
  readonly variables: VariableSnapshot
  /** Number of the text's file; -1: the program itself. */
  readonly source: number
  readonly line: number
  readonly frames: readonly Frame[]
  readonly jumps: Jumps
  readonly unknownLoops: ReadonlySet<string>
  readonly modal: readonly Modal[]
  /** The calls in progress, the outermost first: one for each frame. */
  readonly calls: readonly CallRecord[]
  readonly callLine: number
  readonly steps: number
  readonly percents: number
  readonly blockCount: number
  readonly repeated: number
  readonly hasFlowed: boolean
  readonly topLine: number
  readonly unknownStarts: UnknownStarts
}

export interface RunInput extends ExecutionInput {
  readonly program: ProgramSource
  readonly readerOptions: ReaderOptions
  readonly programs: ((number: number) => ProgramFile | undefined) | undefined
  /** Told when motions begin to belong to another call; -1: the program itself. */
  readonly onCall: (record: number) => void
  /** What stands for the line of a motion that another text asks for: line of the program, line of that text, call. */
  readonly placeOf: (line: number, ownLine: number, call: number) => number
}

/** The control's program counter: reads block after block, runs each, and goes where it says. */
export class ProgramRun {
  readonly executor: BlockExecutor
  readonly calls: CallRecord[] = []
  /** Blocks read so far. */
  steps = 0
  blockCount = 0
  /** A jump, loop or call has been met: blocks may run more than once, or never. */
  hasFlowed = false
  /** Lines of the program behind which the control always goes on elsewhere. */
  readonly jumpedFrom = new Set<number>()
  /** The second lone % has been read: nothing behind it is program. */
  isOver = false
  /** Set by the owner: whether this line of the program has run before that step. */
  hasRun: (line: number, step: number) => boolean = () => false
  source: ProgramSource
  readonly #input: RunInput
  readonly #files = new Map<number, ProgramSource | undefined>()
  /** Why files that are there cannot be run, by program. */
  readonly #failures = new Map<number, string>()
  readonly #callIndex = new Map<string, number>()
  #jumps: Jumps = new Map()
  #unknownLoops = new Set<string>()
  #frames: Frame[] = []
  #modal: Modal[] = []
  #call = -1
  /** Line of the program that motions count for while another text runs. */
  #callLine = 0
  #percents = 0
  #repeated = 0
  /** Last line run outside of calls: what stands behind it at the end is never run. */
  #topLine = -1

  constructor(input: RunInput, state: ModalState, from?: RunSnapshot) {
    this.#input = input
    this.source = input.program
    if (from !== undefined) {
      input.variables.restore(from.variables)
      this.source = this.#sourceOf(from.source) ?? input.program
      this.#frames = from.frames.map(frame => ({ ...frame, jumps: new Map(frame.jumps) }))
      this.#jumps = new Map(from.jumps)
      this.#unknownLoops = new Set(from.unknownLoops)
      this.hasFlowed = from.hasFlowed
      this.#modal = [...from.modal]
      // A run that goes on counts its calls anew.
      this.calls.push(...from.calls)
      this.#call = from.calls.length - 1
      this.#callLine = from.callLine
      this.#percents = from.percents
      this.#repeated = from.repeated
      this.#topLine = from.topLine
      this.steps = from.steps
      this.blockCount = from.blockCount
    }
    input.problems.callSites = this.callSites
    this.executor = new BlockExecutor(input, state, this.source.reader.block, from?.unknownStarts)
    if (from !== undefined) this.source.reader.seek(from.line)
  }

  get isInProgram(): boolean {
    return this.source === this.#input.program
  }

  /** The next block to run; undefined at the end. */
  next(): Block | undefined {
    for (;;) {
      const block = this.isOver ? undefined : this.source.reader.next()
      if (block === undefined) {
        // A called file may end without the code that returns.
        if (this.isOver || this.#frames.length === 0) return undefined
        this.#return(Number.NaN, { start: 0, end: 0 })
        continue
      }
      if (this.executor.state.ended && this.isInProgram && this.hasRun(block.line, this.steps + 1)) continue
      this.steps++
      return block
    }
  }

  /** Runs the block that `next` gave, and goes where it says. */
  run(block: Block): void {
    const input = this.#input, state = this.executor.state
    if (block.percent && this.#endsAtPercent()) {
      if (this.#frames.length > 0 && !state.ended) return this.#return(Number.NaN, { start: 0, end: 0 })
      state.ended = true
      this.isOver = true
      return
    }
    const isAgain = this.hasFlowed && (!this.isInProgram || this.hasRun(block.line, this.steps))
    if ((block.count > 0 || block.sequence >= 0) && !isAgain) this.blockCount++
    if (state.ended) return
    if (block.skip && input.machine.control.blockSkip?.includes(block.skipLevel) === true) return
    if (this.#frames.length === 0) this.#topLine = block.line
    if (isAgain) this.#repeated++
    const executor = this.executor
    if (this.isInProgram) executor.execute(block)
    else executor.execute(block, input.placeOf(this.#callLine, block.line, this.#call))
    if (block.flow !== undefined) this.#follow(block.flow, block)
    if (executor.request !== undefined) this.#answer(executor.request, block)
    else if (this.#modal.length > 0 && executor.moved && !this.#frames.some(frame => frame.isModal)) this.#callModal(block)
    // What stands behind the end is looked at in the order of the text.
    if (state.ended && this.hasFlowed) this.#goBehindEnd()
  }

  snapshot(): RunSnapshot {
    this.executor.settle()
    return {
      state: cloneState(this.executor.state), variables: this.#input.variables.snapshot(), source: this.source.number, line: this.source.reader.nextLine,
      frames: this.#frames.map((frame, depth) => ({ ...frame, call: depth - 1, jumps: new Map(frame.jumps) })), jumps: new Map(this.#jumps), unknownLoops: new Set(this.#unknownLoops), modal: [...this.#modal], calls: this.#callsInProgress(), callLine: this.#callLine, steps: this.steps, percents: this.#percents,
      blockCount: this.blockCount, repeated: this.#repeated, hasFlowed: this.hasFlowed, topLine: this.#topLine, unknownStarts: this.executor.unknownStarts,
    }
  }

  /** How the block in hand was reached, the nearest call first, for findings in called programs. */
  readonly callSites = (): Related[] => {
    const sites: Related[] = []
    for (let at = this.#call; at >= 0; at = this.calls[at]?.parent ?? -1) {
      const call = this.calls[at]
      const source = call?.file === undefined ? this.#input.program : [...this.#files.values()].find(each => each?.path === call.file)
      if (call === undefined || source === undefined) break
      sites.push({ ...call.file === undefined ? {} : { file: call.file }, span: lineSpan(source.lineStarts, source.text, call.line), message: `O${call.program} is called here.` })
    }
    return sites
  }

  #callsInProgress(): CallRecord[] {
    const way: CallRecord[] = []
    for (let call = this.calls[this.#call]; call !== undefined; call = this.calls[call.parent]) way.unshift(call)
    return way.map((call, depth) => ({ ...call, parent: depth - 1 }))
  }

  /** NISTIR 6556 3.1: a lone % before the first block starts the program, any other ends it. */
  #endsAtPercent(): boolean {
    if (!this.isInProgram) return this.source.reader.block.line > 0
    return this.#percents++ > 0 || this.blockCount > 0
  }

  #tell(wording: ReturnType<typeof flowProblems[keyof typeof flowProblems]>, span: Span): void {
    this.#input.problems.tell({ ...wording, span })
  }

  #follow(flow: Flow, block: Block): void {
    if (Number.isNaN(flow.number)) return
    this.#begin()
    const span = { start: flow.start, end: flow.end }, index = this.source.index
    if (flow.kind === 'jump') {
      if (!flow.isConditional && this.isInProgram) this.jumpedFrom.add(block.line)
      return this.#jump(flow.number, block.line, span)
    }
    if (flow.kind === 'end') {
      const head = index.loopStart(block.line)
      if (head === undefined) return this.#tell(flowProblems.noSuchLoop(`END${flow.number}`, `DO${flow.number}`), span)
      if (this.#mayGoBack(head, span)) this.source.reader.seek(head)
      return
    }
    const end = index.loopEnd(block.line)
    if (end === undefined) return this.#tell(flowProblems.noSuchLoop(`DO${flow.number}`, `END${flow.number}`), span)
    const key = `${this.#frames.length} ${block.line}`
    // A loop whose condition is not known is gone through once.
    const skips = flow.holds === false || flow.holds === undefined && this.#unknownLoops.delete(key)
    if (skips) this.source.reader.seek(end + 1)
    else if (flow.holds === undefined) this.#unknownLoops.add(key)
  }

  #jump(number: number, line: number, span: Span): void {
    const place = this.source.index.sequence(number, line)
    if (place === undefined) return this.#tell(flowProblems.noSuchBlock(number), span)
    if (place.double >= 0) this.#tell(flowProblems.doubleTarget(number), span)
    if (place.line > line || this.#mayGoBack(place.line, span)) this.source.reader.seek(place.line)
  }

  /** Whether a jump back may still be taken: not when nothing can have changed since the last time. */
  #mayGoBack(line: number, span: Span): boolean {
    const variables = this.#input.variables, key = `${span.start} ${line}`
    const last = this.#jumps.get(key)
    if (last !== undefined && last.version === variables.version + variables.systemReads) {
      this.#tell(flowProblems.endlessLoop(this.steps - last.step), span)
      return false
    }
    this.#jumps.set(key, { version: variables.version + variables.systemReads, step: this.steps })
    if (this.#repeated <= MOST_REPEATED_BLOCKS) return true
    this.#tell(flowProblems.tooManyRepeats(MOST_REPEATED_BLOCKS), span)
    return false
  }

  #answer(request: CallRequest, block: Block): void {
    this.#begin()
    if (request.kind === 'return') this.#return(request.sequence, request.span)
    else if (request.kind === 'modal') this.#modal.push(request)
    else if (request.kind === 'modal-off') this.#modal.pop()
    else this.#enter(request, block, false)
  }

  #callModal(block: Block): void {
    const modal = this.#modal[this.#modal.length - 1]
    if (modal !== undefined) this.#enter({ ...modal, kind: 'call' }, block, true)
  }

  #enter(request: Extract<CallRequest, { kind: 'call' }>, block: Block, isModal: boolean): void {
    if (request.repeats < 1) return
    const target = this.#find(request.program, request.repeats)
    if (target === undefined) {
      const failure = this.#failures.get(request.program)
      this.#tell(failure === undefined ? flowProblems.noSuchProgram(request.program) : flowProblems.unreadableProgram(request.program, failure), request.span)
      return this.executor.lose()
    }
    const deepest = this.#input.machine.control.callDepth ?? USUAL_CALL_DEPTH
    if (this.#frames.length >= deepest) {
      this.#tell(flowProblems.callTooDeep(deepest), request.span)
      return this.executor.lose()
    }
    // Programs that call each other more than once each run without end long before they stand too deep.
    if (this.#repeated > MOST_REPEATED_BLOCKS) {
      this.#tell(flowProblems.tooManyRepeats(MOST_REPEATED_BLOCKS), request.span)
      return this.executor.lose()
    }
    const frame: Frame = {
      from: this.source.number, returnLine: this.source.reader.nextLine, startLine: target.line, repeatsLeft: target.repeats, hasLocals: request.locals !== undefined,
      isModal, call: this.#call, line: this.#callLine, jumps: this.#jumps,
    }
    if (this.isInProgram) this.#callLine = block.line
    this.#frames.push(frame)
    this.#jumps = new Map()
    if (request.locals !== undefined) this.#input.variables.enter(request.locals)
    this.#enterCall(request.program, block.line, target.source)
    this.#move(target.source, target.line)
  }

  /** The program with this number: in this text, in the program's, in a file. Older calls carry the count in front: P30100 is three times O100. */
  #find(number: number, repeats: number): { readonly source: ProgramSource, readonly line: number, readonly repeats: number } | undefined {
    for (const source of new Set([this.source, this.#input.program])) {
      const line = source.index.program(number)
      if (line !== undefined) return { source, line, repeats }
    }
    const source = this.#sourceOf(number)
    if (source !== undefined) return { source, line: source.index.program(number) ?? 0, repeats }
    return number > 9999 && repeats === 1 ? this.#find(number % 10_000, Math.floor(number / 10_000)) : undefined
  }

  /** The text of a file, read once; -1: the program itself. */
  #sourceOf(number: number): ProgramSource | undefined {
    if (number < 0) return this.#input.program
    if (!this.#files.has(number)) {
      const file = this.#input.programs?.(number)
      if (file !== undefined && 'failure' in file) this.#failures.set(number, file.failure)
      this.#files.set(number, file === undefined || 'failure' in file ? undefined : new ProgramSource(file.text, number, file.path, { ...this.#input.readerOptions, lineStarts: undefined }, this.#input.problems.tell))
    }
    return this.#files.get(number)
  }

  #return(sequence: number, span: Span): void {
    const frame = this.#frames[this.#frames.length - 1]
    if (frame === undefined) {
      // The control would start again from the top; one round is looked at.
      this.executor.state.ended = true
      return
    }
    if (frame.repeatsLeft > 1 && Number.isNaN(sequence) && this.#repeated <= MOST_REPEATED_BLOCKS) {
      this.#frames[this.#frames.length - 1] = { ...frame, repeatsLeft: frame.repeatsLeft - 1 }
      this.#jumps.clear()
      this.source.reader.seek(frame.startLine)
      return
    }
    if (frame.repeatsLeft > 1 && Number.isNaN(sequence)) this.#tell(flowProblems.tooManyRepeats(MOST_REPEATED_BLOCKS), span)
    this.#frames.pop()
    this.#jumps = frame.jumps
    if (frame.hasLocals) this.#input.variables.leave()
    this.#call = frame.call
    this.#callLine = frame.line
    this.#input.onCall(this.#call)
    this.#move(this.#sourceOf(frame.from) ?? this.#input.program, frame.returnLine)
    if (!Number.isNaN(sequence)) this.#jump(sequence, Math.max(0, frame.returnLine - 1), span)
  }

  #enterCall(program: number, line: number, source: ProgramSource): void {
    const key = `${this.#call} ${line} ${program} ${this.source.path ?? ''}`
    let at = this.#callIndex.get(key)
    if (at === undefined) {
      at = this.calls.length
      this.calls.push({ parent: this.#call, line, program, ...this.source.path === undefined ? {} : { file: this.source.path }, ...source.path === undefined ? {} : { target: source.path } })
      this.#callIndex.set(key, at)
    }
    this.#call = at
    this.#input.onCall(at)
  }

  #move(source: ProgramSource, line: number): void {
    this.source = source
    this.#input.problems.file = source.path
    source.reader.seek(line)
  }

  #begin(): void {
    this.hasFlowed = true
    this.#input.problems.mayRepeat = true
  }

  /** After the end: the blocks behind the last one run outside of calls. */
  #goBehindEnd(): void {
    this.#frames = []
    this.#call = -1
    this.#input.onCall(-1)
    this.#move(this.#input.program, this.#topLine + 1)
  }
}
