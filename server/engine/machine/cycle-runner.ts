import type { Machine } from '../../../shared/machine.ts'
import type { Span } from '../../../shared/span.ts'
import type { AxisWords } from './axis-words.ts'
import type { BlockWords } from './block-words.ts'
import { letterIndex } from './block-words.ts'
import { figure, interpretationProblems, lengthFigure } from './interpretation-problems.ts'
import type { CycleWords, ModalState } from './modal-state.ts'
import type { Asker, MotionMaker } from './motion-maker.ts'
import { planeOf } from './plane.ts'
import type { ProblemCollector } from './problem-collector.ts'

const I = letterIndex('I'), J = letterIndex('J'), K = letterIndex('K'), L = letterIndex('L'), P = letterIndex('P'), Q = letterIndex('Q'), R = letterIndex('R')

/** How far above the last depth a peck starts again, and how far G73 draws back: 0.01 inch. Common practice; NISTIR 6556 says "a bit". */
const PECK_GAP = 0.254

/** Pecks beyond this are a slip of Q, not a hole. */
const MOST_PECKS = 10_000
/** Holes of one block beyond this are a slip of L. */
const MOST_REPEATS = 10_000

/** Positions nearer than this are one; mm. */
const SAME = 1e-9

/** Fixed cycles as the moves they stand for: NISTIR 6556 3.5.16; G73, G74 and G76 are common practice. */
export class CycleRunner {
  /** Of the dwells since it was last taken. */
  dwellSeconds = 0
  readonly #machine: Machine
  readonly #problems: ProblemCollector
  readonly #words: BlockWords
  readonly #axisWords: AxisWords
  readonly #maker: MotionMaker
  readonly #state: ModalState
  readonly #linear: readonly number[]
  /** Joint of the cycle's axis, and the block in hand. */
  #z = 2
  #asker: Asker = { line: 0, span: { start: 0, end: 0 } }

  constructor(machine: Machine, problems: ProblemCollector, words: BlockWords, axisWords: AxisWords, maker: MotionMaker, state: ModalState, linear: readonly number[]) {
    this.#machine = machine
    this.#problems = problems
    this.#words = words
    this.#axisWords = axisWords
    this.#maker = maker
    this.#state = state
    this.#linear = linear
  }

  /** Runs the cycle in force for this block. `number`: 81 for G81. */
  run(number: number, asker: Asker): void {
    const plane = planeOf(this.#state.plane), joints = [plane.first, plane.second, plane.third].map(axis => this.#linear[axis] ?? -1)
    this.#asker = asker
    this.#z = joints[2] ?? -1
    const words = joints.includes(-1) ? undefined : this.#take(number, 'XYZ'.charAt(plane.third))
    const repeats = this.#words.has(L) ? this.#words.value(L) : 1
    const isKnown = words !== undefined && !Number.isNaN(words.level + words.bottom + this.#here() + repeats)
    if (words !== undefined) this.#state.cycle = words
    if (words === undefined || !isKnown || this.#isLost(number, joints)) return this.#jump()
    const clear = this.#state.cycleReturn === 99 ? words.level : Math.max(words.start, words.level)
    if (this.#here() < words.level - SAME) this.#rapidTo(words.level)
    for (let n = 0; n < Math.min(repeats, MOST_REPEATS); n++) {
      const target = this.#maker.newTarget(), height = target[this.#z] ?? Number.NaN
      this.#axisWords.into(target, this.#state.distance === 91)
      target[this.#z] = height
      this.#go(true)
      if (number === 87) {
        this.#backBore(words, clear, joints)
        continue
      }
      if (Math.abs(this.#here() - words.level) > SAME) this.#rapidTo(words.level)
      this.#hole(number, words, clear)
      if (Math.abs(this.#here() - clear) > SAME) this.#rapidTo(clear)
    }
  }

  /** The words of the block laid over those that stay; undefined where the hole is not determined. */
  #take(number: number, letter: string): CycleWords | undefined {
    const words = this.#words, state = this.#state, kept = state.cycle, isIncremental = state.distance === 91
    const tell = (because: string, letterOf?: number) => {
      this.#problems.tell({ ...interpretationProblems.cycleMisuse(`G${number}`, because), span: letterOf === undefined ? this.#codeSpan() : words.span(letterOf) })
    }
    const z = letterIndex(letter), here = this.#here()
    const depth = words.has(z) ? this.#axisWords.length(z) : kept?.depth
    const level = words.has(R) ? this.#axisWords.length(R) + (isIncremental ? here : 0) : kept?.level
    const peck = words.has(Q) ? this.#axisWords.length(Q) : kept?.peck
    const dwell = words.has(P) ? words.value(P) : kept?.dwell
    if (state.feedMode === 93) tell('does not go with inverse-time feed (G93)')
    if (state.radiusCompensation === 41 || state.radiusCompensation === 42) tell('does not go with radius compensation; G40 ends it')
    if (this.#machine.axes.some((axis, j) => axis.kind === 'rotary' && this.#axisWords.has(j) && this.#turns(j))) tell('turns a rotary axis in its block; the hole is simulated behind the turn')
    if (words.has(L) && !(Number.isInteger(words.value(L)) && words.value(L) > 0) && !Number.isNaN(words.value(L))) tell(`takes a whole number of 1 or more in L, not ${figure(words.value(L))}`, L)
    if (dwell !== undefined && dwell < 0) tell(`dwells P${figure(dwell)}: a time is not negative`, words.has(P) ? P : undefined)
    if ((number === 83 || number === 73) && !((peck ?? 0) > 0 || Number.isNaN(peck ?? 0))) {
      tell(peck === undefined ? 'needs the depth of a peck in Q' : `pecks by Q${figure(peck / this.#axisWords.unit)}: the depth of a peck is above zero`, words.has(Q) ? Q : undefined)
      return undefined
    }
    this.#checkSpindle(number, tell)
    if (depth === undefined || level === undefined) {
      tell(`needs ${[...depth === undefined ? [letter] : [], ...level === undefined ? ['R'] : []].join(' and ')} in the first block of the cycle`)
      return undefined
    }
    const bottom = isIncremental ? level + depth : depth
    if (level < bottom - SAME) {
      tell(`starts at R ${lengthFigure(level, this.#axisWords.unit)}, below its bottom at ${letter} ${lengthFigure(bottom, this.#axisWords.unit)}`, words.has(R) ? R : words.has(z) ? z : undefined)
      return undefined
    }
    const hasShift = [I, J, K].some(each => words.has(each))
    const shift = hasShift ? [I, J, K].map(each => words.has(each) ? this.#axisWords.length(each) : 0) : kept?.shift
    return { start: kept?.start ?? here, level, bottom, depth, peck, dwell, shift: shift === undefined ? undefined : [shift[0] ?? 0, shift[1] ?? 0, shift[2] ?? 0] }
  }

  /** The cycle's code where the block holds it, else the block. */
  #codeSpan(): Span {
    const code = this.#words.codes.find(each => each.effect === 'cycle')
    return code === undefined ? this.#asker.span : this.#words.codeSpan(code)
  }

  #checkSpindle(number: number, tell: (because: string) => void): void {
    const { spindle } = this.#state
    if (number === 84 && spindle !== 'clockwise') tell('taps with the spindle turning clockwise; M3 is not in force')
    if (number === 74 && spindle !== 'counterclockwise') tell('taps left-hand with the spindle turning counterclockwise; M4 is not in force')
    if ((number === 76 || number === 86 || number === 87 || number === 88) && spindle === 'stopped') tell('stops the spindle and starts it again, but it does not turn')
  }

  /** In the hole, from level R and back up as far as the cycle itself goes. */
  #hole(number: number, words: CycleWords, clear: number): void {
    const { level, bottom } = words, state = this.#state, spindle = state.spindle
    switch (number) {
      case 73: case 83: return this.#pecks(words, number === 83 ? clear : undefined)
      case 81: case 82:
        this.#feedTo(bottom)
        if (number === 82) this.#dwell(words)
        return
      case 74: case 84:
        this.#feedTo(bottom)
        if (words.dwell !== undefined) this.#dwell(words)
        state.spindle = spindle === 'clockwise' ? 'counterclockwise' : 'clockwise'
        this.#feedTo(level)
        state.spindle = spindle
        return
      case 85: case 89:
        this.#feedTo(bottom)
        if (number === 89) this.#dwell(words)
        return this.#feedTo(level)
      default:
        this.#feedTo(bottom)
        this.#dwell(words)
        state.spindle = 'stopped'
        if (number === 76) this.#shift(words)
        this.#rapidTo(clear)
        if (number === 76) this.#shift(words, -1)
        state.spindle = spindle
    }
  }

  /** Down by Q at a time; out between the pecks to `out`, or a bit where it is not given. */
  #pecks(words: CycleWords, out: number | undefined): void {
    const { level, bottom } = words, peck = Math.max(words.peck ?? 0, (level - bottom) / MOST_PECKS)
    let depth = level
    while (depth > bottom + SAME) {
      if (depth < level - SAME) this.#rapidTo(Math.min(level, depth + PECK_GAP))
      depth = Math.max(bottom, depth - peck)
      this.#feedTo(depth)
      if (depth > bottom + SAME && out !== undefined) this.#rapidTo(out)
    }
    if (words.dwell !== undefined) this.#dwell(words)
  }

  /** NISTIR 6556 3.5.16.8: the tool goes down beside the hole and cuts upward. */
  #backBore(words: CycleWords, clear: number, joints: readonly number[]): void {
    const state = this.#state, spindle = state.spindle, [i = 0, j = 0, k = 0] = words.shift ?? []
    const by = (sign: number) => {
      const target = this.#maker.newTarget()
      for (const [n, way] of [[0, i], [1, j]] as const) target[joints[n] ?? 0] = (target[joints[n] ?? 0] ?? Number.NaN) + sign * way
      this.#go(true)
    }
    by(1)
    state.spindle = 'stopped'
    this.#rapidTo(words.bottom)
    by(-1)
    state.spindle = spindle
    this.#feedTo(state.distance === 91 ? words.bottom + k : k)
    this.#feedTo(words.bottom)
    state.spindle = 'stopped'
    by(1)
    this.#rapidTo(clear)
    by(-1)
    state.spindle = spindle
  }

  /** The tool is drawn off the wall before it goes up; which way is the machine's own where I and J do not say. */
  #shift(words: CycleWords, sign = 1): void {
    if (words.shift === undefined) {
      this.#problems.count('G76 shift', this.#asker.line, this.#asker.span, count => interpretationProblems.unknownShift('G76', count))
      return
    }
    const plane = planeOf(this.#state.plane), target = this.#maker.newTarget()
    for (const axis of [plane.first, plane.second]) {
      const joint = this.#linear[axis] ?? -1
      if (joint >= 0) target[joint] = (target[joint] ?? Number.NaN) + sign * (words.shift[axis] ?? 0)
    }
    this.#go(true)
  }

  /** Back boring without I, J and K is each control's own; so is what the file does not describe. */
  #isLost(number: number, joints: readonly number[]): boolean {
    const known = [73, 74, 76, 81, 82, 83, 84, 85, 86, 87, 88, 89].includes(number)
    if (known && (number !== 87 || this.#state.cycle?.shift !== undefined) && !joints.includes(-1)) return false
    this.#problems.count(`G${number}`, this.#asker.line, this.#asker.span, count => interpretationProblems.cycle(`G${number}`, count))
    return true
  }

  /** Where X and Y go is known, the level Z ends on is not. */
  #jump(): void {
    const target = this.#maker.newTarget()
    this.#axisWords.into(target, this.#state.distance === 91)
    if (this.#z >= 0) target[this.#z] = Number.NaN
    this.#maker.jumpToTarget(this.#state, this.#asker)
  }

  #turns(j: number): boolean {
    const way = this.#axisWords.value(j) - (this.#state.distance === 91 ? 0 : this.#maker.programmed[j] ?? Number.NaN)
    return !(Math.abs(way) <= SAME)
  }

  #here(): number {
    return this.#maker.programmed[this.#z] ?? Number.NaN
  }

  #dwell(words: CycleWords): void {
    const time = words.dwell ?? 0
    if (time > 0) this.dwellSeconds += this.#machine.control.dwell.P === 'milliseconds' ? time / 1000 : time
  }

  #feedTo(level: number): void {
    this.#maker.newTarget()[this.#z] = level
    this.#go(false)
  }

  #rapidTo(level: number): void {
    this.#maker.newTarget()[this.#z] = level
    this.#go(true)
  }

  #go(rapid: boolean): void {
    this.#maker.moveToTarget(this.#state, this.#asker, rapid, this.#axisWords.unit, this.#machine.control.inverseTime)
  }
}
