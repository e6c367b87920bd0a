import type { Axis, Machine } from '../../../shared/machine.ts'
import type { Setup } from '../../../shared/setup.ts'
import type { Span } from '../../../shared/span.ts'
import { MotionFlag, MotionKind, NO_TOOL } from '../../../shared/toolpath.ts'
import type { ArcAnswer } from './arc.ts'
import type { Coordinates } from './coordinates.ts'
import { fiveAxisProblems } from './five-axis-problems.ts'
import { interpretationProblems } from './interpretation-problems.ts'
import type { ModalState } from './modal-state.ts'
import type { ProblemCollector } from './problem-collector.ts'
import { feedSeconds, rapidArrivals, rapidJointAt, rapidSeconds } from './timing.ts'
import type { Travel } from './timing.ts'

/** Where motions go: the toolpath under construction, or nowhere when only the state is wanted. */
export interface MotionSink {
  readonly count: number
  push(kind: number, flags: number, line: number, tool: number, seconds: number, joints: ArrayLike<number>, arc?: ArrayLike<number>): number
}

/** Steps below this are rounding, not motion; mm and radians. */
const NO_STEP = 1e-9

/** The block that asks for the motion. */
export interface Asker {
  readonly line: number
  readonly span: Span
}

/** Motions before every axis has been given a value, on a machine without a home. */
export interface UnknownStarts {
  /** Every axis has been known once. */
  readonly isOver: boolean
  readonly count: number
  readonly first: Span | undefined
}

/**
 * Turns programmed targets into motions and keeps where the machine stands: the programmed position
 * of the frame in force and the joints. Both NaN where not known.
 */
export class MotionMaker {
  readonly programmed: Float64Array
  readonly joints: Float64Array
  readonly #axes: readonly Axis[]
  readonly #machine: Machine
  readonly #coordinates: Coordinates
  readonly #problems: ProblemCollector
  readonly #sink: MotionSink
  readonly #toolIndex: ReadonlyMap<number, number>
  readonly #target: Float64Array
  readonly #targetJoints: Float64Array
  readonly #leg: Float64Array
  readonly #isLinear: readonly boolean[]
  readonly #covered = { length: 0, turn: 0 }
  #allKnownOnce: boolean
  #unknownStarts: number
  #firstUnknown: Span | undefined

  constructor(machine: Machine, setup: Setup | undefined, coordinates: Coordinates, problems: ProblemCollector, sink: MotionSink, state: ModalState, unknownStarts?: UnknownStarts) {
    this.#machine = machine
    this.#axes = machine.axes
    this.#isLinear = machine.axes.map(axis => axis.kind === 'linear')
    this.#coordinates = coordinates
    this.#problems = problems
    this.#sink = sink
    this.#toolIndex = new Map((setup?.tools ?? []).map((tool, index) => [tool.number, index]))
    this.joints = Float64Array.from(state.joints)
    this.programmed = Float64Array.from(machine.axes, axis => state.position[axis.letter] ?? Number.NaN)
    this.#target = new Float64Array(machine.axes.length)
    this.#targetJoints = new Float64Array(machine.axes.length)
    this.#leg = new Float64Array(machine.axes.length)
    this.#allKnownOnce = unknownStarts?.isOver ?? !this.joints.some(Number.isNaN)
    this.#unknownStarts = unknownStarts?.count ?? 0
    this.#firstUnknown = unknownStarts?.first
  }

  get unknownStarts(): UnknownStarts {
    return { isOver: this.#allKnownOnce, count: this.#unknownStarts, first: this.#firstUnknown }
  }

  /** The programmed target in the making; starts as where the machine stands. */
  newTarget(): Float64Array {
    copy(this.programmed, this.#target)
    return this.#target
  }

  /** The target in the making as it stands. */
  get target(): Float64Array { return this.#target }

  /** The joint target in the making, for moves in machine coordinates. */
  newJointTarget(): Float64Array {
    copy(this.joints, this.#targetJoints)
    return this.#targetJoints
  }

  /** The frame has changed: same joints, other numbers. */
  renumber(): void {
    this.#coordinates.toProgrammed(this.joints, this.programmed)
  }

  /** What the program would call the place where the machine stands: under radius compensation that is beside the contour. */
  standing(): Float64Array {
    const place = new Float64Array(this.joints.length)
    this.#coordinates.toProgrammed(this.joints, place)
    return place
  }

  /** Nobody knows where the machine stands from here. */
  lose(): void {
    this.joints.fill(Number.NaN)
    this.programmed.fill(Number.NaN)
  }

  /** Straight, or each axis for itself in rapid, to the programmed target. */
  moveToTarget(state: ModalState, asker: Asker, rapid: boolean, unit: number, inverseTime: 'per-minute' | 'seconds'): void {
    const seconds = rapid ? 0 : feedSeconds(state, this.#travel(), unit, inverseTime)
    this.#solve(state, asker)
    if (state.toolCentre) this.#push(MotionKind.toolLine, state, asker, rapid, rapid ? rapidSeconds(this.#axes, this.joints, this.#targetJoints) : seconds)
    else if (rapid) this.#rapid(state, asker)
    else this.#push(MotionKind.joints, state, asker, false, seconds)
    copy(this.#target, this.programmed)
  }

  /** Along the arc to the programmed target. */
  arcToTarget(state: ModalState, asker: Asker, arc: ArcAnswer, unit: number, inverseTime: 'per-minute' | 'seconds'): void {
    const turn = this.#travel().turn
    const seconds = feedSeconds(state, { length: arc.length, turn }, unit, inverseTime)
    if (state.tiltedPlane !== undefined && !state.toolCentre && turn > 0) {
      this.#problems.count('arc-in-plane', asker.line, asker.span, count => fiveAxisProblems.arcWithRotaryInPlane(count))
      return this.jumpToTarget(state, asker)
    }
    this.#solve(state, asker)
    const straight = state.toolCentre ? MotionKind.toolLine : MotionKind.joints
    if (arc.record === undefined) this.#push(straight, state, asker, false, seconds)
    else {
      const onPart = state.toolCentre || state.tiltedPlane !== undefined
      this.#coordinates.placeArc(arc.record, this.#targetJoints)
      this.#push(onPart ? MotionKind.toolArc : MotionKind.jointArc, state, asker, false, seconds, arc.record)
    }
    copy(this.#target, this.programmed)
  }

  /** To the joint target: machine coordinates, home. */
  moveToJoints(state: ModalState, asker: Asker, rapid: boolean, unit: number, inverseTime: 'per-minute' | 'seconds'): void {
    if (rapid) this.#rapid(state, asker)
    else this.#push(MotionKind.joints, state, asker, false, feedSeconds(state, this.#jointTravel(), unit, inverseTime))
    this.renumber()
  }

  /** The machine goes to the target, but nobody knows how: the motion is recorded as unknown. */
  jumpToTarget(state: ModalState, asker: Asker): void {
    this.#solve(state, asker)
    this.#push(MotionKind.joints, state, asker, true, 0, undefined, true)
    copy(this.#target, this.programmed)
  }

  /** To the target, with these two joints at a distance from it that nobody knows. */
  jumpBeside(state: ModalState, asker: Asker, first: number, second: number): void {
    this.#solve(state, asker)
    this.#targetJoints[first] = Number.NaN
    this.#targetJoints[second] = Number.NaN
    this.#push(MotionKind.joints, state, asker, true, 0, undefined, true)
    copy(this.#target, this.programmed)
  }

  /** Tells what was counted; called once at the end. */
  finish(): void {
    const span = this.#firstUnknown
    if (span === undefined) return
    this.#problems.tell({ ...interpretationProblems.unknownStart(this.#unknownStarts, this.#axes.map(axis => axis.letter).join(' ')), span })
  }

  /** Joints of the target, as far as they are known. */
  #solve(state: ModalState, asker: Asker): void {
    this.#coordinates.toJoints(this.#target, this.#targetJoints)
    if (!this.#coordinates.solved) {
      this.#problems.count('no-solution', asker.line, asker.span, () => interpretationProblems.noLinearSolution(this.#machine.name))
    }
    if (state.unsimulated !== undefined) this.#targetJoints.fill(Number.NaN)
  }

  #rapid(state: ModalState, asker: Asker): void {
    const from = this.joints, to = this.#targetJoints
    if (this.#machine.control.rapid === 'straight' || from.some(Number.isNaN) || to.some(Number.isNaN)) {
      this.#push(MotionKind.joints, state, asker, true, rapidSeconds(this.#axes, from, to))
      return
    }
    const arrivals = rapidArrivals(this.#axes, from, to)
    if (arrivals === undefined) {
      const lacking = this.#axes.findIndex((axis, j) => axis.rapid === undefined && from[j] !== to[j])
      const letter = this.#axes[lacking]?.letter ?? ''
      this.#problems.count(`no-rapid ${letter}`, asker.line, asker.span, () => interpretationProblems.noRapidRate(letter))
      this.#push(MotionKind.joints, state, asker, true, rapidSeconds(this.#axes, from, to))
      return
    }
    // Each axis at its own rate arrives when it arrives: between two arrivals the way is straight.
    const start = Float64Array.from(from), end = Float64Array.from(to)
    let before = 0
    for (const time of arrivals) {
      for (let j = 0; j < end.length; j++) this.#leg[j] = rapidJointAt(this.#axes, start, end, j, time)
      copy(this.#leg, to)
      this.#push(MotionKind.joints, state, asker, true, time - before)
      before = time
    }
  }

  /** Adds the motion to the joint target, unless nothing moves. */
  #push(kind: number, state: ModalState, asker: Asker, rapid: boolean, seconds: number, arc?: Float64Array, isDoubtful = false): void {
    const from = this.joints, to = this.#targetJoints
    let isKnown = true, moves = arc !== undefined
    for (let j = 0; j < to.length; j++) {
      const step = (to[j] ?? Number.NaN) - (from[j] ?? Number.NaN)
      if (Number.isNaN(step)) isKnown = false
      else if (Math.abs(step) > NO_STEP) moves = true
    }
    if (isKnown && !moves) return
    let flags = rapid ? MotionFlag.rapid : 0
    if (state.spindle !== 'stopped') flags |= MotionFlag.spindleOn
    if (state.coolant) flags |= MotionFlag.coolantOn
    if (state.lengthCompensation === 43 || state.toolCentre) flags |= MotionFlag.lengthOn
    if (!rapid && state.feedMode === 93) flags |= MotionFlag.inverseTime
    if (!isKnown || isDoubtful) flags |= MotionFlag.unknownStart
    if (!isKnown && !this.#allKnownOnce && this.#machine.home === undefined) {
      this.#unknownStarts++
      this.#firstUnknown ??= asker.span
    }
    const tool = state.tool === undefined ? NO_TOOL : this.#toolIndex.get(state.tool) ?? NO_TOOL
    this.#sink.push(kind, flags, asker.line, Math.min(tool, NO_TOOL), seconds, to, arc)
    copy(to, from)
    if (!this.#allKnownOnce) this.#allKnownOnce = !from.some(Number.isNaN)
  }

  /** Programmed way to the target. */
  #travel(): Travel {
    return this.#way(this.programmed, this.#target)
  }

  #jointTravel(): Travel {
    return this.#way(this.joints, this.#targetJoints)
  }

  /** The answer is used again. */
  #way(from: Float64Array, to: Float64Array): Travel {
    let linear = 0, rotary = 0
    for (let j = 0; j < to.length; j++) {
      const step = (to[j] ?? 0) - (from[j] ?? 0)
      if (!(Math.abs(step) > NO_STEP)) continue
      if (this.#isLinear[j] === true) linear += step * step
      else rotary += step * step
    }
    this.#covered.length = Math.sqrt(linear)
    this.#covered.turn = Math.sqrt(rotary)
    return this.#covered
  }
}

/** For a handful of numbers far quicker than the array's own way. */
function copy(from: Float64Array, to: Float64Array): void {
  for (let j = 0; j < from.length; j++) to[j] = from[j] ?? Number.NaN
}
