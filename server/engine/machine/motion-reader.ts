import type { Machine } from '../../../shared/machine.ts'
import type { Setup } from '../../../shared/setup.ts'
import type { Code } from '../nc/codes.ts'
import type { AxisWords } from './axis-words.ts'
import { buildArc } from './arc.ts'
import type { ArcAnswer } from './arc.ts'
import type { BlockWords } from './block-words.ts'
import { letterIndex } from './block-words.ts'
import { CycleRunner } from './cycle-runner.ts'
import { codeOf } from './dialect.ts'
import type { Dialect } from './dialect.ts'
import type { FiveAxis } from './five-axis.ts'
import { figure, interpretationProblems, lengthFigure } from './interpretation-problems.ts'
import type { ModalState } from './modal-state.ts'
import type { Asker, MotionMaker } from './motion-maker.ts'
import { planeOf } from './plane.ts'
import { RadiusCompensation } from './radius-compensation.ts'
import type { ProblemCollector } from './problem-collector.ts'

const R = letterIndex('R'), P = letterIndex('P')
const centreLetters = [letterIndex('I'), letterIndex('J'), letterIndex('K')]

/** A probing move is at least as long: 0.254 mm or 0.01 inch (NISTIR 6556 3.5.9). */
const LEAST_PROBE_WAY = 0.254

/** Radius arcs in this band are warned of: NISTIR 6556 3.5.3.1 advises against them; radians. */
const nearHalfTurn = [165 * Math.PI / 180, 195 * Math.PI / 180] as const

/** Reads what a block says about motion: where to, along what, for how long. */
export class MotionReader {
  readonly #machine: Machine
  readonly #dialect: Dialect
  readonly #problems: ProblemCollector
  readonly #words: BlockWords
  readonly #axisWords: AxisWords
  readonly #maker: MotionMaker
  readonly #fiveAxis: FiveAxis
  readonly #state: ModalState
  /** Joint numbers of X, Y and Z, or -1. */
  readonly #linear: readonly number[]
  readonly cycles: CycleRunner
  readonly compensation: RadiusCompensation
  readonly #start = new Float64Array(3)
  readonly #end = new Float64Array(3)

  constructor(input: { readonly machine: Machine, readonly setup: Setup | undefined, readonly dialect: Dialect, readonly problems: ProblemCollector }, words: BlockWords, axisWords: AxisWords, maker: MotionMaker, fiveAxis: FiveAxis, state: ModalState) {
    this.#machine = input.machine
    this.#dialect = input.dialect
    this.#problems = input.problems
    this.#words = words
    this.#axisWords = axisWords
    this.#maker = maker
    this.#fiveAxis = fiveAxis
    this.#state = state
    this.#linear = ['X', 'Y', 'Z'].map(letter => input.machine.axes.findIndex(axis => axis.letter === letter))
    this.compensation = new RadiusCompensation(input.machine, input.setup, input.problems, maker, state)
    this.cycles = new CycleRunner(input.machine, input.problems, words, axisWords, maker, state, this.#linear)
  }

  /** The motion of the code in force, if the block asks for any. */
  move(asker: Asker): void {
    const state = this.#state, motion = state.motion
    const isArc = motion === 2 || motion === 3
    const asks = this.#axisWords.hasAny() || this.#fiveAxis.hasVector() || isArc && (this.#words.has(R) || centreLetters.some(letter => this.#words.has(letter)))
    if (!asks) {
      const code = this.#words.codes.find(each => each.effect === 'cycle')
      if (code !== undefined) this.#problems.tell({ ...interpretationProblems.cycleMisuse(code.code, 'names no X, Y or Z: no hole is made'), span: this.#words.codeSpan(code) })
      return
    }
    if (state.planeParts !== undefined) this.#fiveAxis.giveUpPlane(state.planeParts, asker)
    const inMachine = this.#words.codes.length > 0 && this.#words.codes.some(code => code.effect === 'machine-frame')
    const compensation = this.compensation.isOn ? this.compensation : undefined
    if (compensation !== undefined && (inMachine || motion === 38.2)) {
      compensation.tellMisuse(inMachine ? 'is on in a block of machine coordinates (G53)' : 'is on while probing', asker)
      compensation.end()
    }
    const isKnownMotion = motion === 0 || motion === 1 || isArc
    if (inMachine && (motion === 0 || motion === 1)) return this.#moveInMachine(asker, motion === 0)
    if (inMachine) {
      // NISTIR 6556 3.5.12: machine coordinates go with straight moves only.
      const code = this.#words.codes.find(each => each.effect === 'machine-frame')
      if (code !== undefined) this.#problems.tell({ ...interpretationProblems.machineFrameWithout(code.code, motion === undefined ? undefined : `G${motion}`), span: this.#words.codeSpan(code) })
      return this.#maker.lose()
    }
    const target = this.#maker.newTarget()
    this.#axisWords.into(target, state.distance === 91)
    if (isArc) return this.#arc(asker, target, motion === 2)
    if (this.#fiveAxis.hasVector()) this.#fiveAxis.aimTarget(target, asker)
    if (motion === 38.2) this.#checkProbe(asker)
    if (compensation !== undefined && isKnownMotion) return compensation.line(asker, motion === 0, this.#axisWords.unit)
    compensation?.end()
    if (isKnownMotion || motion === 38.2) return this.#maker.moveToTarget(state, asker, motion === 0, this.#axisWords.unit, this.#machine.control.inverseTime)
    if (motion === undefined || motion === 80) this.#problems.count('no-motion-code', asker.line, asker.span, count => interpretationProblems.noMotionCode(count))
    else {
      const code = codeOf(this.#dialect, 'G', motion)
      if (code?.effect === 'lost') {
        this.#problems.count(code.code, asker.line, asker.span, count => interpretationProblems.positionLost(code.code, code.says, count))
        return this.#maker.lose()
      }
      return this.cycles.run(motion, asker)
    }
    this.#maker.jumpToTarget(state, asker)
  }

  /** G28: in rapid to the point given, then the axes given (all, when none is) to the machine's home. */
  home(code: Code, asker: Asker): void {
    const state = this.#state, unit = this.#axisWords.unit, inverseTime = this.#machine.control.inverseTime
    if (this.compensation.isOn) {
      this.compensation.tellMisuse(`is on while ${code.code} goes home`, asker)
      this.compensation.end()
    }
    const all = !this.#axisWords.hasAny()
    if (!all) {
      this.#axisWords.into(this.#maker.newTarget(), state.distance === 91)
      this.#maker.moveToTarget(state, asker, true, unit, inverseTime)
    }
    // G30 P3 and P4 are further points, which the machine file does not give.
    const isFurther = this.#words.has(P) && this.#words.value(P) !== 2
    const home = code.code === 'G28' ? this.#machine.home : isFurther ? undefined : this.#machine.secondHome
    if (home === undefined) this.#problems.count(`home ${code.code}`, asker.line, this.#words.codeSpan(code), () => interpretationProblems.noHome(code.code))
    const joints = this.#maker.newJointTarget()
    for (let j = 0; j < joints.length; j++) if (all || this.#axisWords.has(j)) joints[j] = home?.[j] ?? Number.NaN
    this.#maker.moveToJoints(state, asker, true, unit, inverseTime)
  }

  /** Seconds of a dwell, by the letters the machine file names for it. */
  dwell(code: Code): number {
    const units = this.#machine.control.dwell
    for (const [letter, unit] of Object.entries(units)) {
      const index = letterIndex(letter)
      if (!this.#words.has(index)) continue
      const value = this.#words.value(index)
      if (value >= 0) return unit === 'milliseconds' ? value / 1000 : value
    }
    const words = Object.entries(units).map(([letter, unit]) => `${letter} in ${unit}`).join(', ')
    this.#problems.tell({ ...interpretationProblems.dwellWithoutTime(words), span: this.#words.codeSpan(code) })
    return 0
  }

  /** `G54`, or with the further offsets' number `G54.1 P3`. */
  workOffsetName(code: Code): string {
    return code.code === 'G54.1' && this.#words.has(P) ? `G54.1 P${figure(this.#words.value(P))}` : code.code
  }

  /** G53: joint values as written, whatever the distance mode. */
  #moveInMachine(asker: Asker, rapid: boolean): void {
    const joints = this.#maker.newJointTarget()
    for (let j = 0; j < joints.length; j++) if (this.#axisWords.has(j)) joints[j] = this.#axisWords.value(j)
    this.#maker.moveToJoints(this.#state, asker, rapid, this.#axisWords.unit, this.#machine.control.inverseTime)
  }

  /** NISTIR 6556 3.5.9: what a probing move must not do. */
  #checkProbe(asker: Asker): void {
    const axes = this.#machine.axes, now = this.#maker.programmed, target = this.#maker.target
    const tell = (because: string) => { this.#problems.tell({ ...interpretationProblems.probeMisuse(because), span: asker.span }) }
    const step = (j: number) => Math.abs((target[j] ?? 0) - (now[j] ?? 0))
    if (this.#state.feedMode === 93) tell('does not go with inverse-time feed (G93)')
    if (axes.some((axis, j) => axis.kind === 'rotary' && step(j) > 1e-9)) tell('turns a rotary axis; a probing move goes straight along X, Y and Z')
    else {
      const way = Math.hypot(...this.#linear.map(j => j < 0 ? 0 : step(j)))
      if (way < LEAST_PROBE_WAY) tell(`moves ${lengthFigure(way, this.#axisWords.unit)}; it needs ${lengthFigure(LEAST_PROBE_WAY, this.#axisWords.unit)} or more`)
    }
    this.#problems.count('probe', asker.line, asker.span, count => interpretationProblems.probe(count))
  }

  #arc(asker: Asker, target: Float64Array, clockwise: boolean): void {
    const state = this.#state, unit = this.#axisWords.unit, plane = planeOf(state.plane)
    for (let n = 0; n < 3; n++) {
      const joint = this.#linear[n] ?? -1
      // An axis the machine does not have stands still, but cannot take part in the arc's plane.
      const missing = n === plane.third ? 0 : Number.NaN
      this.#start[n] = joint < 0 ? missing : this.#maker.programmed[joint] ?? Number.NaN
      this.#end[n] = joint < 0 ? missing : target[joint] ?? Number.NaN
    }
    const code = clockwise ? 'G2' : 'G3'
    const isKnown = [plane.first, plane.second].every(n => !Number.isNaN(this.#start[n]) && !Number.isNaN(this.#end[n]))
    const first = centreLetters[plane.first] ?? 0, second = centreLetters[plane.second] ?? 0
    const lacking = [plane.first, plane.second].find(n => (this.#linear[n] ?? -1) < 0)
    if (lacking !== undefined) {
      const letter = 'XYZ'.charAt(lacking)
      this.#problems.count(`arc plane ${letter}`, asker.line, asker.span, count => interpretationProblems.arcPlaneWithoutAxis(letter, this.#machine.name, count))
    }
    const hasCentre = this.#words.has(first) || this.#words.has(second)
    const hasRadius = this.#words.has(R)
    if (this.#words.has(P)) {
      const written = `P${figure(this.#words.value(P))}`
      this.#problems.count('arc turns', asker.line, this.#words.span(P), count => interpretationProblems.turns(written, count))
    }
    if (hasCentre && hasRadius) {
      const letter = this.#words.has(first) ? first : second
      this.#problems.tell({ ...interpretationProblems.centreTwice(String.fromCharCode(letter + 65)), span: this.#words.span(R), related: [{ span: this.#words.span(letter), message: 'The centre is given here.' }] })
    }
    const isLeftOut = [first, second, R].some(letter => this.#words.isUnreadable(letter))
    const isUnknown = [first, second, R].some(letter => this.#words.has(letter) && Number.isNaN(this.#words.value(letter)))
    if (!isKnown || isLeftOut || isUnknown) {
      this.compensation.end()
      return this.#maker.jumpToTarget(state, asker)
    }
    const arc = buildArc({
      start: this.#start, end: this.#end, plane, clockwise, inch: unit === 25.4,
      centre: hasCentre && !hasRadius ? [this.#centre(plane.first, first), this.#centre(plane.second, second)] : undefined,
      radius: hasRadius ? this.#axisWords.length(R) : undefined,
    })
    this.#tellArc(arc, code, asker, hasRadius)
    if (this.compensation.isOn && arc.record !== undefined) return this.compensation.arc(asker, arc, clockwise, unit)
    if (this.compensation.isOn) this.compensation.end()
    this.#maker.arcToTarget(state, asker, arc, unit, this.#machine.control.inverseTime)
  }

  /** Centre coordinate in the programmed frame; a missing word leaves it at the start's. */
  #centre(axis: 0 | 1 | 2, letter: number): number {
    const start = this.#start[axis] ?? Number.NaN
    if (!this.#words.has(letter)) return start
    return this.#axisWords.length(letter) + (this.#machine.control.arcCentre === 'absolute' ? 0 : start)
  }

  #tellArc(arc: ArcAnswer, code: string, asker: Asker, hasRadius: boolean): void {
    const unit = this.#axisWords.unit, plane = planeOf(this.#state.plane)
    const letters = [plane.first, plane.second].map(n => 'IJK'.charAt(n))
    const shown = letters.map(letterIndex).find(letter => this.#words.has(letter))
    const span = hasRadius ? this.#words.span(R) : shown === undefined ? asker.span : this.#words.span(shown)
    const fault = arc.fault
    if (fault !== undefined) {
      switch (fault.kind) {
        case 'no-centre': this.#problems.tell({ ...interpretationProblems.arcWithoutCentre(code, letters.join(', ')), span }); break
        case 'centre-at-start': this.#problems.tell({ ...interpretationProblems.centreAtStart(code), span }); break
        case 'radius-without-end': this.#problems.tell({ ...interpretationProblems.radiusWithoutEnd(code), span }); break
        case 'chord-too-long': this.#problems.tell({ ...interpretationProblems.chordTooLong(lengthFigure(fault.chord, unit), lengthFigure(fault.radius, unit)), span }); break
        case 'radius-mismatch': {
          const difference = Math.abs(fault.endRadius - fault.startRadius)
          const wording = interpretationProblems.radiusMismatch(lengthFigure(fault.startRadius, unit), lengthFigure(fault.endRadius, unit), lengthFigure(difference, unit), lengthFigure(fault.tolerance, unit))
          this.#problems.tell({ ...wording, span })
          break
        }
        default: fault satisfies never
      }
    }
    if (hasRadius && arc.record !== undefined && arc.sweep >= nearHalfTurn[0] && arc.sweep <= nearHalfTurn[1]) {
      this.#problems.tell({ ...interpretationProblems.nearHalfTurn(figure(arc.sweep * 180 / Math.PI, 2)), span })
    }
  }
}
