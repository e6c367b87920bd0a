import type { Machine } from '../../../shared/machine.ts'
import type { Setup, Tool } from '../../../shared/setup.ts'
import type { Effect } from '../nc/codes.ts'
import { buildArc } from './arc.ts'
import type { ArcAnswer } from './arc.ts'
import { figure, interpretationProblems, lengthFigure } from './interpretation-problems.ts'
import type { ModalState } from './modal-state.ts'
import type { Asker, MotionMaker } from './motion-maker.ts'
import { arcCurve, lineCurve, meeting, offsetCurve, turnBetween } from './offset-geometry.ts'
import type { Curve } from './offset-geometry.ts'
import { planeOf } from './plane.ts'
import type { ProblemCollector } from './problem-collector.ts'
import { cloneState } from './start-state.ts'

/** Points nearer than this are one, mm; turns smaller than this (sine) are none. */
const SAME = 1e-9
const NO_TURN = 1e-6

/** What the codes change that must stay while compensation is on: NISTIR 6556 3.5.10 and appendix B. */
export const notWhileCompensating: Readonly<Partial<Record<Effect, string>>> = {
  'plane': 'the plane', 'inch': 'the units', 'metric': 'the units', 'work-offset': 'the work offset', 'offset-write': 'an offset', 'set-position': 'the position',
  'local-shift': 'the position', 'length-on': 'the length offset', 'length-off': 'the length offset', 'tool-change': 'the tool', 'tool-centre-on': 'to tool-centre control', 'tool-vector-on': 'to tool-centre control',
  'tilted-plane-on': 'the working plane', 'tilted-plane-off': 'the working plane', 'orient-tool': 'the direction of the tool',
}

/** A move that waits until the next one says how its corner is to be rounded. */
interface Waiting {
  readonly state: ModalState
  readonly asker: Asker
  readonly rapid: boolean
  readonly unit: number
  /** The tool's way in the plane; undefined: a move that leaves the plane's position alone. */
  readonly curve: Curve | undefined
  /** Programmed values of every axis at the end; those of the plane are the contour's. */
  readonly target: Float64Array
}

/**
 * Cutter radius compensation: NISTIR 6556 appendix B. Outside corners are rolled around by an arc about the
 * contour's corner. Inside corners, an error in the report, are cut short where both ways of the tool meet, as is common practice.
 */
export class RadiusCompensation {
  readonly #machine: Machine
  readonly #setup: Setup | undefined
  readonly #problems: ProblemCollector
  readonly #maker: MotionMaker
  readonly #state: ModalState
  /** Joints of the plane's axes. */
  #first = 0
  #second = 1
  #waiting: Waiting[] = []
  /** Where the tool stands, in programmed values; undefined: the next move enters. */
  #tool: Float64Array | undefined
  /** Programmed radius, positive: to the left. */
  #left = 0

  constructor(machine: Machine, setup: Setup | undefined, problems: ProblemCollector, maker: MotionMaker, state: ModalState) {
    this.#machine = machine
    this.#setup = setup
    this.#problems = problems
    this.#maker = maker
    this.#state = state
  }

  get isOn(): boolean {
    return this.#state.radiusCompensation === 41 || this.#state.radiusCompensation === 42
  }

  /** Moves wait for the next one: where the machine stands is behind the program. */
  get isWaiting(): boolean {
    return this.#waiting.length > 0
  }

  /** G41, G42: the radius of the D in force, else of the tool in the spindle. False: it is not known. */
  begin(asker: Asker): boolean {
    const state = this.#state, tools = this.#setup?.tools ?? []
    const holds = (tool: Tool) => state.radiusOffset === undefined ? tool.number === state.tool : (tool.radiusOffset ?? tool.number) === state.radiusOffset
    // Where several tools have that D, the one in the spindle is meant.
    const tool = tools.find(each => each.number === state.tool && holds(each)) ?? tools.find(holds)
    const radius = state.radiusOffset === 0 ? 0 : tool === undefined ? undefined : tool.cutter.DC / 2 + (tool.radiusWear ?? 0)
    this.end()
    this.#tool = undefined
    this.#left = Number.NaN
    if (radius === undefined) {
      this.#problems.tell({ ...interpretationProblems.unknownRadius(`G${state.radiusCompensation}`, state.radiusOffset === undefined ? 'without D and without a known tool' : `with D${figure(state.radiusOffset)}, a tool the setup sheet does not give`), span: asker.span })
      return false
    }
    this.#left = (state.radiusCompensation === 42 ? -1 : 1) * radius
    return true
  }

  /** G40 and everything that cannot be offset: the moves that wait are made to their ends. */
  end(): void {
    if (this.#waiting.length > 0) this.#make(undefined)
    this.#tool = undefined
  }

  /** A straight move to the maker's target. */
  line(asker: Asker, rapid: boolean, unit: number): void {
    const { target, programmed } = this.#maker
    this.#place()
    const ax = programmed[this.#first] ?? 0, ay = programmed[this.#second] ?? 0, bx = target[this.#first] ?? 0, by = target[this.#second] ?? 0
    this.#checkRotary(asker)
    if (Number.isNaN(ax + ay + bx + by + this.#left)) return this.#lose(asker)
    const isInPlane = Math.hypot(bx - ax, by - ay) > SAME
    if (!isInPlane) this.#wait(asker, rapid, unit, undefined)
    else if (this.#tool === undefined) this.#enter(asker, rapid, unit)
    else this.#offset(asker, rapid, unit, lineCurve(ax, ay, bx, by))
  }

  /** An arc to the maker's target; `centre` by the plane's coordinates. */
  arc(asker: Asker, arc: ArcAnswer, clockwise: boolean, unit: number): void {
    const { target, programmed } = this.#maker, plane = planeOf(this.#state.plane)
    this.#place()
    this.#checkRotary(asker)
    const cx = arc.record?.[plane.first] ?? Number.NaN, cy = arc.record?.[plane.second] ?? Number.NaN
    if (Number.isNaN(cx + cy + this.#left)) return this.#lose(asker)
    if (this.#tool === undefined) {
      this.#tell('starts on an arc; the way to the contour is a straight one', asker)
      return this.#lose(asker)
    }
    this.#offset(asker, false, unit, arcCurve(programmed[this.#first] ?? 0, programmed[this.#second] ?? 0, target[this.#first] ?? 0, target[this.#second] ?? 0, cx, cy, clockwise))
  }

  /** What must not happen while compensation is on. */
  tellMisuse(because: string, asker: Asker): void {
    this.#tell(because, asker)
  }

  /** The first move: straight until the tool touches the contour's point from the side. */
  #enter(asker: Asker, rapid: boolean, unit: number): void {
    const { target } = this.#maker
    const standing = this.#maker.standing()
    const sx = standing[this.#first] ?? 0, sy = standing[this.#second] ?? 0, px = target[this.#first] ?? 0, py = target[this.#second] ?? 0
    const distance = Math.hypot(px - sx, py - sy), radius = Math.abs(this.#left)
    this.#tool = standing
    if (distance <= radius + SAME) {
      this.#tell(`enters over ${lengthFigure(distance, unit)}, no more than the tool's radius of ${lengthFigure(radius, unit)}: the tool already stands in the contour`, asker)
      return this.#wait(asker, rapid, unit, lineCurve(sx, sy, px, py))
    }
    // From the contour's point, the tool's centre lies at this angle off the way back to the start (NISTIR 6556 B.6).
    const angle = Math.atan2(sy - py, sx - px) - Math.sign(this.#left) * Math.acos(radius / distance)
    this.#wait(asker, rapid, unit, lineCurve(sx, sy, px + radius * Math.cos(angle), py + radius * Math.sin(angle)))
  }

  #offset(asker: Asker, rapid: boolean, unit: number, contour: Curve): void {
    const curve = offsetCurve(contour, this.#left)
    if (curve === undefined) {
      this.#tell(`runs along the inside of an arc of radius ${lengthFigure(contour.arc?.radius ?? 0, unit)}, no larger than the tool's ${lengthFigure(Math.abs(this.#left), unit)}`, asker)
      return this.#lose(asker)
    }
    const start = this.#make(curve, contour)
    // Cut short by the corner before, it must not meet the next way ahead of its own start.
    this.#wait(asker, rapid, unit, start === undefined ? curve : { ...curve, ax: start.x, ay: start.y })
  }

  #wait(asker: Asker, rapid: boolean, unit: number, curve: Curve | undefined): void {
    const target = Float64Array.from(this.#maker.target)
    // Before the tool has entered there is nothing a move out of the plane has to wait for.
    if (curve === undefined && this.#tool === undefined) {
      this.#maker.moveToTarget(this.#state, asker, rapid, unit, this.#machine.control.inverseTime)
      return
    }
    this.#waiting.push({ state: cloneState(this.#state), asker: { line: asker.line, span: asker.span }, rapid, unit, curve, target })
    this.#maker.programmed.set(target)
  }

  /** Makes the moves that wait; `next`: the tool's way behind the corner. Answers where that begins if the corner cuts it short. The target in the making is left as it is. */
  #make(next: Curve | undefined, contour?: Curve): { readonly x: number, readonly y: number } | undefined {
    let start: { readonly x: number, readonly y: number } | undefined
    const maker = this.#maker, programmed = Float64Array.from(maker.programmed), target = Float64Array.from(maker.target)
    const [first, ...between] = this.#waiting
    this.#waiting = []
    if (first?.curve !== undefined) {
      const corner = next === undefined || contour === undefined ? { x: first.curve.bx, y: first.curve.by, rolls: false } : this.#corner(first.curve, next, contour, first.asker)
      if (!corner.rolls) start = corner
      this.#moveTo(first, first.curve, corner)
      for (const each of between) this.#moveTo(each, undefined, undefined)
      if (corner.rolls && next !== undefined && contour !== undefined) {
        this.#moveTo(between[between.length - 1] ?? first, arcCurve(corner.x, corner.y, next.ax, next.ay, contour.ax, contour.ay, this.#left > 0), { x: next.ax, y: next.ay })
      }
    } else if (first !== undefined) for (const each of [first, ...between]) this.#moveTo(each, undefined, undefined)
    maker.programmed.set(programmed)
    maker.newTarget().set(target)
    return start
  }

  /** Where the tool's way ends before the next one, and whether it then rolls around the contour's corner. */
  #corner(curve: Curve, next: Curve, contour: Curve, asker: Asker): { readonly x: number, readonly y: number, readonly rolls: boolean } {
    const { sine, cosine } = turnBetween(curve, next), end = { x: curve.bx, y: curve.by }
    if (Math.abs(sine) < NO_TURN && cosine > 0) return { ...end, rolls: false }
    if (sine * this.#left <= 0) return { ...end, rolls: Math.hypot(next.ax - end.x, next.ay - end.y) > SAME }
    const place = meeting(curve, next, contour.ax, contour.ay)
    if (place === undefined || this.#machine.control.insideCorner === 'error') this.#tell(place === undefined ? 'comes to an inside corner that the tool does not fit into' : 'comes to an inside corner', asker)
    return { ...place ?? end, rolls: false }
  }

  /** One move of the tool, from where it stands. */
  #moveTo(waiting: Waiting, curve: Curve | undefined, end: { readonly x: number, readonly y: number } | undefined): void {
    const tool = this.#tool, maker = this.#maker, { state, asker, rapid, unit } = waiting
    if (tool === undefined) return
    maker.programmed.set(tool)
    const target = maker.newTarget(), x = end?.x ?? tool[this.#first] ?? Number.NaN, y = end?.y ?? tool[this.#second] ?? Number.NaN
    target.set(waiting.target)
    target[this.#first] = x
    target[this.#second] = y
    const inverseTime = this.#machine.control.inverseTime
    if (curve?.arc === undefined) maker.moveToTarget(state, asker, rapid, unit, inverseTime)
    else {
      const plane = planeOf(state.plane), at = (values: ArrayLike<number>) => ['X', 'Y', 'Z'].map(letter => {
        const joint = this.#machine.axes.findIndex(axis => axis.letter === letter)
        return joint < 0 ? 0 : values[joint] ?? Number.NaN
      })
      const arc = buildArc({ start: at(tool), end: at(target), plane, clockwise: curve.arc.clockwise, inch: unit === 25.4, centre: [curve.arc.cx, curve.arc.cy] })
      maker.arcToTarget(state, asker, arc, unit, inverseTime)
    }
    tool.set(maker.programmed)
  }

  /** What cannot be offset: the move is made to the contour's point, but nobody knows how. */
  #lose(asker: Asker): void {
    this.end()
    this.#maker.jumpBeside(this.#state, asker, this.#first, this.#second)
  }

  #place(): void {
    const plane = planeOf(this.#state.plane), joint = (axis: number) => this.#machine.axes.findIndex(each => each.letter === 'XYZ'.charAt(axis))
    this.#first = Math.max(0, joint(plane.first))
    this.#second = Math.max(0, joint(plane.second))
  }

  #checkRotary(asker: Asker): void {
    const { target, programmed } = this.#maker
    const turning = this.#machine.axes.find((axis, j) => axis.kind === 'rotary' && Math.abs((target[j] ?? 0) - (programmed[j] ?? 0)) > SAME)
    if (turning !== undefined) this.#tell(`is on while axis ${turning.letter} turns`, asker)
  }

  #tell(because: string, asker: Asker): void {
    this.#problems.tell({ ...interpretationProblems.compensationMisuse(`G${this.#state.radiusCompensation ?? 41}`, because), span: asker.span })
  }
}
