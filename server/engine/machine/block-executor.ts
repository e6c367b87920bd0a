import type { Kinematics } from '../../../shared/kinematics.ts'
import type { Machine } from '../../../shared/machine.ts'
import type { Setup } from '../../../shared/setup.ts'
import type { Block } from '../nc/block.ts'
import type { Code } from '../nc/codes.ts'
import { AxisWords } from './axis-words.ts'
import { BlockAsker } from './block-asker.ts'
import { BlockWords, letterIndex } from './block-words.ts'
import { callRequest } from './call-request.ts'
import type { CallRequest } from './call-request.ts'
import { Coordinates } from './coordinates.ts'
import { variableRules } from './dialect.ts'
import type { Dialect } from './dialect.ts'
import { FiveAxis } from './five-axis.ts'
import { FrameChange } from './frame-change.ts'
import { flowProblems } from './flow-problems.ts'
import { interpretationProblems } from './interpretation-problems.ts'
import type { ModalState } from './modal-state.ts'
import { MotionMaker } from './motion-maker.ts'
import type { MotionSink, UnknownStarts } from './motion-maker.ts'
import { MotionReader } from './motion-reader.ts'
import { OffsetCodes } from './offset-codes.ts'
import type { ProblemCollector } from './problem-collector.ts'
import { notWhileCompensating } from './radius-compensation.ts'
import { SystemVariables } from './system-variables.ts'
import type { Variables } from './variables.ts'
import { WordValues } from './word-values.ts'

export interface ExecutionInput {
  readonly machine: Machine
  readonly setup: Setup | undefined
  readonly kinematics: Kinematics
  readonly dialect: Dialect
  readonly problems: ProblemCollector
  readonly sink: MotionSink
  readonly variables: Variables
}

const P = letterIndex('P')

/**
 * The control: runs one block after the other over the modal state, in the order of NISTIR 6556
 * table 8, and hands motions to the sink.
 */
export class BlockExecutor {
  readonly state: ModalState
  dwellSeconds = 0
  /** The call, or the return from one, that the last block asks for. */
  request: CallRequest | undefined
  /** Whether the last block gave axis words to a motion. */
  moved = false
  readonly #input: ExecutionInput
  readonly #words: BlockWords
  readonly #axisWords: AxisWords
  readonly #coordinates: Coordinates
  readonly #maker: MotionMaker
  readonly #motion: MotionReader
  readonly #fiveAxis: FiveAxis
  readonly #offsets: OffsetCodes
  readonly #values: WordValues
  readonly #frame: FrameChange
  readonly #asker = new BlockAsker()
  #hasLost = false

  /** Goes on from `state`, which it changes. `block`: the record of the reader. */
  constructor(input: ExecutionInput, state: ModalState, block: Block, unknownStarts?: UnknownStarts) {
    this.#input = input
    this.state = state
    this.#words = new BlockWords(block)
    this.#coordinates = new Coordinates(input.machine, input.setup, input.kinematics)
    this.#coordinates.take(state)
    this.#maker = new MotionMaker(input.machine, input.setup, this.#coordinates, input.problems, input.sink, state, unknownStarts)
    this.#axisWords = new AxisWords(input.machine, this.#words, input.problems)
    this.#fiveAxis = new FiveAxis(input, this.#words, this.#axisWords, this.#coordinates, this.#maker, state)
    this.#motion = new MotionReader(input, this.#words, this.#axisWords, this.#maker, this.#fiveAxis, state)
    this.#offsets = new OffsetCodes(input, this.#words, this.#axisWords, this.#coordinates, this.#maker, state)
    this.#values = new WordValues(input, this.#words, state)
    this.#frame = new FrameChange(input.problems, this.#words, this.#coordinates, this.#maker, state)
    input.variables.system = new SystemVariables(input.machine, variableRules(input.machine.control), state, this.#coordinates, { settle: () => { this.settle() }, renumber: () => { this.#renumber() } })
    // At the very start the joints are the machine's home and the programmed position follows from them.
    if (Object.values(state.position).every(Number.isNaN)) this.#maker.renumber()
    this.settle()
  }

  /** Runs the block; after the program's end nothing is run any more. `line`: the line of the program its motions count for. */
  execute(block: Block, line = block.line): void {
    const state = this.state
    this.request = undefined
    this.moved = false
    if (state.ended) return
    const words = this.#words, problems = this.#input.problems
    words.collect(block, this.#input.dialect, problems)
    this.#asker.line = line
    this.#asker.block = block
    this.#frame.isNew = false
    this.#hasLost = false
    this.#axisWords.unit = state.unit ?? this.#input.setup?.unit ?? 1
    let next = 0
    const codes = words.codes
    for (; next < codes.length && codes[next]?.effect === 'feed-mode'; next++) state.feedMode = feedModeOf(codes[next])
    this.#values.take()
    for (; next < codes.length; next++) {
      const code = codes[next]
      if (code !== undefined) this.#apply(code)
    }
    this.#values.takeLengthOffset(this.#frame)
    this.#frame.take(this.#asker)
    this.#axisWords.unit = state.unit ?? this.#input.setup?.unit ?? 1
    for (const code of codes) if (code.effect === 'orient-tool') this.#fiveAxis.orient(code, this.#asker)
    this.#axisWords.loseUnreadable(this.#maker.programmed)
    const taker = words.axisTaker
    // The words of a dwell or a call are no axis words, whatever their letters.
    if (taker === undefined || taker.effect === 'home') this.#axisWords.checkLetters(this.#asker)
    if (taker === undefined) {
      this.moved = this.#axisWords.hasAny()
      this.#motion.move(this.#asker)
      this.dwellSeconds += this.#motion.cycles.dwellSeconds
      this.#motion.cycles.dwellSeconds = 0
    }
    else if (taker.effect === 'home') this.#motion.home(taker, this.#asker)
    if (this.#hasLost) this.#maker.lose()
    for (let i = 0; i < codes.length; i++) {
      const code = codes[i]
      if (code === undefined) continue
      if (code.effect === 'end') this.#end()
      else if (code.effect === 'call' || code.effect === 'macro' || code.effect === 'macro-modal') this.request = callRequest(code, words, problems, () => { this.#maker.lose() })
      else if (code.effect === 'macro-off') this.request = { kind: 'modal-off' }
      else if (code.effect === 'return') this.request = { kind: 'return', sequence: words.value(P), span: words.codeSpan(code) }
    }
    if (block.settings.length > 0) this.#store(block)
  }

  /** NISTIR 6556 3.3.3: variables take their new values when the block's words have taken effect. */
  #store(block: Block): void {
    for (const setting of block.settings) {
      if (!this.#input.variables.store(setting)) this.#input.problems.tell({ ...flowProblems.notStored(setting.name === '' ? `#${setting.index}` : `#<${setting.name}>`), span: { start: setting.start, end: setting.end } })
    }
  }

  /** Nobody knows what happens here: where the axes stand afterwards is not known. */
  lose(): void {
    this.#maker.lose()
  }

  /** Whether the machine stands where the program has come to, so that a run can go on from here. */
  get isSettled(): boolean {
    return !this.#motion.compensation.isOn && !this.#motion.compensation.isWaiting
  }

  finish(): void {
    this.#motion.compensation.end()
    this.settle()
  }

  /** After `finish`: says what was counted on the way. */
  tellCounts(): void {
    this.#maker.finish()
  }

  get unknownStarts(): UnknownStarts {
    return this.#maker.unknownStarts
  }

  /** A variable has changed an offset: same joints, other numbers. */
  #renumber(): void {
    this.#coordinates.take(this.state)
    this.#maker.renumber()
  }

  #apply(code: Code): void {
    if (this.#motion.compensation.isOn) this.#checkCompensation(code)
    const state = this.state, problems = this.#input.problems, number = numberOf(code)
    switch (code.effect) {
      case 'none': case 'stop': case 'end': case 'home': case 'orient-tool': case 'call': case 'return': case 'macro': case 'macro-modal': case 'macro-off': break
      case 'cycle': state.motion = number; break
      case 'motion': case 'cycle-cancel':
        state.motion = number
        state.cycle = undefined
        break
      case 'machine-frame': break
      case 'feed-mode': state.feedMode = feedModeOf(code); break
      case 'plane': state.plane = number === 18 ? 18 : number === 19 ? 19 : 17; break
      case 'distance': state.distance = number === 91 ? 91 : 90; break
      case 'cycle-return': state.cycleReturn = number === 99 ? 99 : 98; break
      case 'inch': state.unit = this.#axisWords.unit = 25.4; break
      case 'metric': state.unit = this.#axisWords.unit = 1; break
      case 'path-control': state.pathControl = number; break
      case 'probe':
        state.motion = number
        state.cycle = undefined
        break
      case 'offset-write': case 'set-position': case 'local-shift':
        // These count from the position as it reads with the length offset and work offset of this block.
        this.#values.takeLengthOffset(this.#frame)
        this.#frame.take(this.#asker)
        this.#offsets.apply(code, this.#asker)
        if (code.effect !== 'offset-write' || this.#offsets.hasWritten) this.#frame.isNew = true
        break
      case 'radius-off':
        this.#motion.compensation.end()
        state.radiusCompensation = 40
        break
      case 'radius-on': {
        const { compensation } = this.#motion
        if (compensation.isOn) compensation.tellMisuse(`is on already when ${code.code} comes; G40 stands between`, this.#asker)
        if (state.toolCentre) compensation.tellMisuse(`begins (${code.code}) while tool-centre control is on`, this.#asker)
        compensation.end()
        state.radiusCompensation = number === 42 ? 42 : 41
        compensation.begin({ line: this.#asker.line, span: this.#words.codeSpan(code) })
        break
      }
      case 'spindle-clockwise': state.spindle = 'clockwise'; break
      case 'spindle-counterclockwise': state.spindle = 'counterclockwise'; break
      case 'spindle-clockwise-coolant': state.spindle = 'clockwise'; state.coolant = true; break
      case 'spindle-counterclockwise-coolant': state.spindle = 'counterclockwise'; state.coolant = true; break
      case 'spindle-stop': state.spindle = 'stopped'; break
      case 'coolant-on': state.coolant = true; break
      case 'coolant-off': state.coolant = false; break
      case 'dwell': this.dwellSeconds += this.#motion.dwell(code); break
      case 'tool-change': this.#values.changeTool(this.#frame, this.#asker); break
      case 'length-on':
        state.lengthCompensation = 43
        if (isCode(this.#input.machine.control.toolCentreOn)) state.toolCentre = false
        this.#frame.end(code.ends ?? [])
        this.#frame.isNew = true
        break
      case 'length-off':
        state.lengthCompensation = 49
        if (isCode(this.#input.machine.control.toolCentreOn) || this.#input.machine.control.toolCentreOff.includes('G49')) state.toolCentre = false
        this.#frame.end(code.ends ?? [])
        this.#frame.isNew = true
        break
      case 'tool-centre-on': case 'tool-vector-on':
        state.toolCentre = true
        state.toolVector = code.effect === 'tool-vector-on'
        if (code.group === 'length-offset') state.lengthCompensation = 43
        this.#frame.end(code.ends ?? [])
        this.#frame.isNew = true
        break
      case 'tool-centre-off':
        state.toolCentre = false
        this.#frame.end(code.ends ?? [])
        this.#frame.isNew = true
        break
      case 'work-offset':
        state.workOffset = this.#motion.workOffsetName(code)
        this.#frame.isNew = true
        if (!this.#coordinates.isGiven(state.workOffset) && state.writtenOffsets?.[state.workOffset] === undefined) {
          const given = Object.keys(this.#input.setup?.offsets ?? {}).join(', ') || 'none are given'
          problems.tell({ ...interpretationProblems.unsetWorkOffset(state.workOffset, given), span: this.#words.codeSpan(code) })
        }
        break
      case 'tilted-plane-on':
        state.cycle = undefined
        this.#axisWords.unit = state.unit ?? this.#input.setup?.unit ?? 1
        if (this.#fiveAxis.startPlane(this.#asker)) this.#frame.end([code.code])
        else this.#frame.start(code, this.#asker)
        this.#frame.isNew = true
        break
      case 'tilted-plane-off':
        state.tiltedPlane = undefined
        state.planeParts = undefined
        // The levels of a cycle are those of the frame it was begun in.
        state.cycle = undefined
        this.#frame.end(code.ends ?? [])
        this.#frame.isNew = true
        break
      case 'frame-on': this.#frame.start(code, this.#asker); break
      case 'frame-off': this.#frame.end(code.ends ?? []); break
      case 'lost':
        this.#hasLost = true
        if (code.group === 'motion') state.motion = number
        problems.count(code.code, this.#asker.line, this.#words.codeSpan(code), count => interpretationProblems.positionLost(code.code, code.says, count))
        break
      case 'not-simulated':
        problems.count(code.code, this.#asker.line, this.#words.codeSpan(code), count => interpretationProblems.withoutEffectOnMotion(code.code, code.says, count))
        break
      default: code.effect satisfies never
    }
  }

  /** NISTIR 6556 3.5.10 and appendix B: what must not change while radius compensation is on. */
  #checkCompensation(code: Code): void {
    const what = notWhileCompensating[code.effect]
    if (what === undefined) return
    this.#motion.compensation.tellMisuse(`is on while ${code.code} changes ${what}`, { line: this.#asker.line, span: this.#words.codeSpan(code) })
    this.#motion.compensation.end()
  }

  /** M2 and M30: what they reset by NISTIR 6556 3.6.1. */
  #end(): void {
    const state = this.state
    this.#motion.compensation.end()
    state.ended = true
    state.workOffset = 'G54'
    state.setPosition = undefined
    state.localShift = undefined
    this.#coordinates.take(state)
    this.#maker.renumber()
    state.plane = 17
    state.distance = 90
    state.feedMode = 94
    state.radiusCompensation = 40
    state.motion = 1
    state.spindle = 'stopped'
    state.coolant = false
  }

  /** Writes into the state where the machine stands: not after each block, since hardly anybody asks. */
  settle(): void {
    const { joints, programmed } = this.#maker, state = this.state, axes = this.#input.machine.axes
    for (let j = 0; j < joints.length; j++) {
      state.joints[j] = joints[j] ?? Number.NaN
      const letter = axes[j]?.letter
      if (letter !== undefined) state.position[letter] = programmed[j] ?? Number.NaN
    }
  }
}

function numberOf(code: Code): number {
  return Number(code.code.slice(1))
}

function feedModeOf(code: Code | undefined): 93 | 94 | 95 {
  if (code?.code === 'G93') return 93
  return code?.code === 'G95' ? 95 : 94
}

/** Whether tool-centre control is switched by a G code, which then shares the group of the length offset. */
function isCode(names: readonly string[]): boolean {
  return names.some(name => /^G/i.test(name))
}
