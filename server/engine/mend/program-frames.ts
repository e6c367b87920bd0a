import type { RotarySolver } from '../../../shared/inverse-kinematics.ts'
import { newToolPose, toolPose, type Kinematics } from '../../../shared/kinematics.ts'
import type { Machine } from '../../../shared/machine.ts'
import type { Setup } from '../../../shared/setup.ts'
import { Coordinates } from '../machine/coordinates.ts'
import type { ModalState } from '../machine/modal-state.ts'
import { turnIntoPlane, turnOutOfPlane } from '../machine/tilted-plane.ts'
import type { BlockRun } from './block-runs.ts'
import type { NumberStyle } from './number-style.ts'

const vectorLetters = ['I', 'J', 'K'] as const

/** Programmed values and joints nearer than this are one: far finer than any control resolves, far coarser than rounding; mm and radians. */
export const sameValue = 1e-7

/** Rounding that is left over where a step of the program's decimals is counted. */
const stepSlack = 1e-4

/** Between joints and the words of a program, in the state that is in force in a block: offsets, lengths, planes and tool-centre control are the interpreter's own. */
export class ProgramFrames {
  readonly width: number
  readonly letters: readonly string[]
  readonly #coordinates: Coordinates
  readonly #machine: Machine
  readonly #setup: Setup | undefined
  readonly #kinematics: Kinematics
  readonly #style: NumberStyle
  readonly #solver: RotarySolver
  readonly #pose = newToolPose()

  constructor(machine: Machine, setup: Setup | undefined, kinematics: Kinematics, style: NumberStyle, solver: RotarySolver) {
    this.#machine = machine
    this.#setup = setup
    this.#kinematics = kinematics
    this.#style = style
    this.#solver = solver
    this.#coordinates = new Coordinates(machine, setup, kinematics)
    this.letters = machine.axes.map(axis => axis.letter)
    this.width = this.letters.length
  }

  /** Decimals of a letter's numbers in this program. */
  decimals(letter: string): number {
    return this.#style.decimals(letter)
  }

  isRotary(j: number): boolean {
    return this.#machine.axes[j]?.kind === 'rotary'
  }

  /** mm or radians of one programmed unit of joint j. */
  unitOf(j: number, state: ModalState): number {
    return this.isRotary(j) ? Math.PI / 180 : this.lengthUnit(state)
  }

  lengthUnit(state: ModalState): number {
    return state.unit ?? this.#setup?.unit ?? 1
  }

  /** What the program calls the position at these joints, in the frame of the state; mm and radians. */
  programmed(joints: Float64Array, state: ModalState): Float64Array {
    this.#coordinates.take(state)
    const out = new Float64Array(this.width)
    this.#coordinates.toProgrammed(joints, out)
    return out
  }

  /** Joints of a programmed position. */
  joints(programmed: Float64Array, state: ModalState): Float64Array {
    this.#coordinates.take(state)
    const out = new Float64Array(this.width)
    this.#coordinates.toJoints(programmed, out)
    return out
  }

  /** Whether the block says the tool axis as a vector. */
  hasVector({ words, after }: BlockRun): boolean {
    return after.toolVector && words.some(({ letter }) => vectorLetters.some(each => each === letter))
  }

  /** The tool axis at these joints as the program writes it: three components in its frame. */
  vector(joints: Float64Array, state: ModalState): Float64Array {
    toolPose(this.#kinematics, joints, 0, this.#pose)
    const axis = Float64Array.from(this.#pose.axis)
    if (state.tiltedPlane !== undefined) turnIntoPlane(state.tiltedPlane, axis)
    return axis.map((value, n) => this.#rounded(value, vectorLetters[n] ?? 'K'))
  }

  /**
   * Rounds the joints of a station to what the block can say, away from where the station stood: a value lies on the grid of the letter's
   * decimals that its own value was on. `isNew`: the station was put in and had no value of its own.
   */
  round(joints: Float64Array, before: Float64Array, run: BlockRun, isNew: boolean): string | undefined {
    const { after } = run, was = this.programmed(before, after), wanted = this.programmed(joints, after)
    const asVector = this.hasVector(run)
    for (let j = 0; j < this.width; j++) {
      const letter = this.letters[j] ?? '', isRotary = this.isRotary(j)
      if (asVector && isRotary) continue
      const old = was[j] ?? 0, now = wanted[j] ?? 0, change = now - old
      if (Math.abs(change) < sameValue && !isNew) {
        wanted[j] = old
        continue
      }
      if (isRotary && this.#machine.control.rotaryTravel[letter] === 'sign-is-direction') return `${letter} carries its way of turning in its sign on this control`
      const step = this.unitOf(j, after) * 10 ** -this.#style.decimals(letter)
      const origin = isNew ? 0 : old, steps = (now - origin) / step
      wanted[j] = origin + step * (Math.abs(change) < sameValue ? Math.round(steps) : change > 0 ? Math.ceil(steps - stepSlack) : Math.floor(steps + stepSlack))
    }
    if (asVector) {
      const axis = this.vector(joints, after)
      if (after.tiltedPlane !== undefined) turnOutOfPlane(after.tiltedPlane, axis)
      const aimed = Float64Array.from(joints)
      this.#solver.aim(axis[0] ?? 0, axis[1] ?? 0, axis[2] ?? 1, aimed)
      for (let j = 0; j < this.width; j++) if (this.isRotary(j)) wanted[j] = (aimed[j] ?? 0) - this.#coordinates.offsetOf(j)
    }
    const rounded = this.joints(wanted, after)
    if (rounded.some(Number.isNaN)) return 'the position cannot be worked out'
    joints.set(rounded)
    return undefined
  }

  #rounded(value: number, letter: string): number {
    return Number(value.toFixed(this.#style.decimals(letter)))
  }
}
