import { RotarySolver, type AxisAnswer } from '../../../shared/inverse-kinematics.ts'
import type { Kinematics } from '../../../shared/kinematics.ts'
import type { Machine } from '../../../shared/machine.ts'
import type { Triple } from '../../../shared/setup.ts'
import type { Code } from '../nc/codes.ts'
import type { AxisWords } from './axis-words.ts'
import { letterIndex, type BlockWords } from './block-words.ts'
import type { Coordinates } from './coordinates.ts'
import { fiveAxisProblems } from './five-axis-problems.ts'
import { figure } from './interpretation-problems.ts'
import type { ModalState } from './modal-state.ts'
import type { Asker, MotionMaker } from './motion-maker.ts'
import type { ProblemCollector } from './problem-collector.ts'
import { partsOf, planeOfParts, type PlaneParts } from './plane-parts.ts'
import { makeTiltedPlane, turnOutOfPlane, usualPlaneAngles } from './tilted-plane.ts'

const P = letterIndex('P'), Q = letterIndex('Q')
const vectorLetters = [letterIndex('I'), letterIndex('J'), letterIndex('K')]
const originLetters = [letterIndex('X'), letterIndex('Y'), letterIndex('Z')]

/** A direction this near to one in reach is that one, rounded to four places; radians. */
const ROUNDING = 2e-4

/** How P chooses among the two ways to turn the tool square to a plane. Common practice. */
const usualChoice = { 0: 'nearest', 1: 'positive', 2: 'negative' } as const

/** Directions of the tool: tilted working planes, and blocks that give the tool axis as a vector. */
export class FiveAxis {
  readonly #machine: Machine
  readonly #problems: ProblemCollector
  readonly #words: BlockWords
  readonly #axisWords: AxisWords
  readonly #coordinates: Coordinates
  readonly #maker: MotionMaker
  readonly #state: ModalState
  readonly #solver: RotarySolver
  readonly #rotary: readonly number[]
  readonly #vector = new Float64Array(3)
  readonly #aimed: Float64Array

  constructor(input: { readonly machine: Machine, readonly kinematics: Kinematics, readonly problems: ProblemCollector }, words: BlockWords, axisWords: AxisWords, coordinates: Coordinates, maker: MotionMaker, state: ModalState) {
    this.#machine = input.machine
    this.#problems = input.problems
    this.#words = words
    this.#axisWords = axisWords
    this.#coordinates = coordinates
    this.#maker = maker
    this.#state = state
    this.#solver = new RotarySolver(input.kinematics, input.machine.axes.map(axis => axis.range))
    this.#rotary = input.kinematics.rotary
    this.#aimed = new Float64Array(input.machine.axes.length)
  }

  /**
   * Lays the working plane as the block says: X Y Z its zero, I J K its angles, each nought where it is
   * not given, absolute in every distance mode; or takes down a part of it. False where the words say more than is understood.
   */
  startPlane(asker: Asker): boolean {
    const words = this.#words
    const form = words.has(P) ? this.#machine.control.tiltedPlaneForms?.[figure(words.value(P))] : undefined
    if (form !== undefined) return this.#takePart(form, asker)
    this.#state.planeParts = undefined
    const isOtherForm = words.has(P) && words.value(P) !== 0 || words.has(Q)
    const origin = originLetters.map(letter => this.#optional(letter, this.#axisWords.unit))
    const angles = vectorLetters.map(letter => this.#optional(letter, Math.PI / 180))
    const [x = 0, y = 0, z = 0] = origin, [i = 0, j = 0, k = 0] = angles
    if (isOtherForm || Number.isNaN(x + y + z + i + j + k)) return false
    this.#state.tiltedPlane = makeTiltedPlane([x, y, z], [i, j, k], this.#machine.control.tiltedPlaneAngles ?? usualPlaneAngles)
    return true
  }

  /** One part of a plane that is laid by several blocks; the last one lays it. */
  #takePart(form: PlaneParts['form'], asker: Asker): boolean {
    const words = this.#words, state = this.#state, number = words.value(Q)
    const triple = (letters: readonly number[], unit: number): Triple => [0, 1, 2].map(n => this.#optional(letters[n] ?? 0, unit)) as unknown as Triple
    const part = { point: triple(originLetters, this.#axisWords.unit), direction: triple(vectorLetters, 1) }
    const isPart = partsOf[form].some(each => each === number)
    if (!isPart || [...part.point, ...part.direction].some(Number.isNaN)) return false
    const parts: PlaneParts = { form, parts: { ...state.planeParts?.form === form ? state.planeParts.parts : {}, [number]: part } }
    const plane = planeOfParts(parts)
    state.planeParts = plane === undefined ? parts : undefined
    state.tiltedPlane = undefined
    if (plane === 'none') {
      this.#problems.count('no-plane', asker.line, asker.span, count => fiveAxisProblems.noPlane(form, count))
      return false
    }
    state.tiltedPlane = plane
    return true
  }

  /** A motion comes before the plane is laid: which frame it is in nobody knows, until a plane is laid or ended. */
  giveUpPlane({ form, parts }: PlaneParts, asker: Asker): void {
    const lacking = partsOf[form].filter(number => parts[number] === undefined).map(number => `Q${number}`)
    this.#problems.tell({ ...fiveAxisProblems.planeNotLaid(lacking.join(' and ')), span: asker.span })
    this.#state.planeParts = undefined
    this.#state.unsimulated ??= this.#machine.control.tiltedPlaneOn[0]
  }

  /** Turns the tool square to the tilted plane: the rotary axes alone move. */
  orient(code: Code, asker: Asker): void {
    const state = this.#state, span = this.#words.codeSpan(code), { control } = this.#machine
    if (state.unsimulated !== undefined) return this.#maker.lose()
    if (state.tiltedPlane === undefined) {
      this.#problems.tell({ ...fiveAxisProblems.orientWithoutPlane(code.code), span })
      return
    }
    const choices: Readonly<Record<string, 'nearest' | 'positive' | 'negative'>> = control.orientChoice ?? usualChoice
    const word = this.#words.has(P) ? figure(this.#words.value(P)) : '0'
    const choice = choices[word]
    if (choice === undefined && word !== '0') {
      const known = Object.entries(choices).map(([value, way]) => `P${value}: ${way}`).join(', ')
      this.#problems.tell({ ...fiveAxisProblems.unknownOrientation(code.code, `P${word}`, known), span: this.#words.span(P) })
    }
    this.#vector.set([0, 0, 1])
    turnOutOfPlane(state.tiltedPlane, this.#vector)
    const target = this.#maker.newJointTarget()
    this.#aimed.set(target)
    const [x = 0, y = 0, z = 0] = this.#vector
    const answer = this.#solver.aim(x, y, z, this.#aimed, choice)
    const isReached = this.#tellReach(answer, asker, span)
    for (const joint of this.#rotary) target[joint] = isReached ? this.#aimed[joint] ?? Number.NaN : Number.NaN
    const rapid = state.motion === undefined || state.motion === 0
    this.#maker.moveToJoints(state, asker, rapid, this.#axisWords.unit, control.inverseTime)
  }

  /** Whether the block gives the tool axis as a vector. */
  hasVector(): boolean {
    return this.#state.toolVector && vectorLetters.some(letter => this.#words.has(letter))
  }

  /**
   * Puts the rotary positions for the block's I J K into the target: the way to hold the tool that is
   * nearest to how the machine stands. A component that is not written is nought (common practice).
   */
  aimTarget(target: Float64Array, asker: Asker): void {
    const words = this.#words, state = this.#state
    const shown = vectorLetters.find(letter => words.has(letter)) ?? 0, span = words.span(shown)
    const also = this.#rotary.filter(joint => this.#axisWords.has(joint)).map(joint => this.#machine.axes[joint]?.letter ?? '')
    if (also.length > 0) this.#problems.tell({ ...fiveAxisProblems.vectorAndAngles(also.join(' ')), span })
    for (const [n, letter] of vectorLetters.entries()) this.#vector[n] = this.#optional(letter, 1)
    if (state.tiltedPlane !== undefined) turnOutOfPlane(state.tiltedPlane, this.#vector)
    const [x = 0, y = 0, z = 0] = this.#vector
    this.#aimed.set(this.#maker.joints)
    const isDirection = Math.hypot(x, y, z) > 0
    if (!isDirection) this.#problems.count('no-direction', asker.line, span, count => fiveAxisProblems.noDirection(count))
    const isReached = isDirection && this.#tellReach(this.#solver.aim(x, y, z, this.#aimed), asker, span)
    for (const joint of this.#rotary) {
      target[joint] = isReached ? (this.#aimed[joint] ?? Number.NaN) - this.#coordinates.offsetOf(joint) : Number.NaN
    }
  }

  /** Says so where the direction is out of reach; whether it is reached. */
  #tellReach(answer: AxisAnswer, asker: Asker, span: { readonly start: number, readonly end: number }): boolean {
    const { name } = this.#machine
    if (!this.#solver.supported) {
      this.#problems.count('too-many-rotary', asker.line, span, count => fiveAxisProblems.tooManyRotary(name, count))
      return false
    }
    if (answer.miss <= ROUNDING) return true
    const length = Math.hypot(...this.#vector)
    const asked = this.#vector.map(value => value / length), nearest = this.#solver.reached.slice()
    this.#problems.count('out-of-reach', asker.line, span, count => fiveAxisProblems.outOfReach(asked, nearest, answer.miss, name, count))
    return false
  }

  /** A word's value in the engine's unit, nought where it is not written, NaN where it cannot be read. */
  #optional(letter: number, unit: number): number {
    if (this.#words.isUnreadable(letter)) return Number.NaN
    return this.#words.has(letter) ? this.#words.value(letter) * unit : 0
  }
}
