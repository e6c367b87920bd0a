import type { Machine, VariableControl } from '../../../shared/machine.ts'
import type { Coordinates } from './coordinates.ts'
import type { ModalState } from './modal-state.ts'
import { offsetName, offsetNumber } from './offset-names.ts'
import type { SystemSource } from './variables.ts'

/** Numbers of NISTIR 6556 table 2; the positions 5001, 5021 and 5041 are common practice. */
const ranges = {
  blockEnd: 5001, machine: 5021, position: 5041, probe: 5061, home: 5161, secondHome: 5181, setPosition: 5211, active: 5220, offsets: 5221,
} as const

/** Numbers from one work offset to the next, and how many there are. */
const OFFSET_STEP = 20
const OFFSET_COUNT = 9
const AXIS_COUNT = 6

type Range = keyof typeof ranges

/** What variables need of the control. */
interface ControlAccess {
  /** Writes into the state where the machine stands. */
  readonly settle: () => void
  /** The control's frame has changed: the machine stands still, its position reads differently. */
  readonly renumber: () => void
}

/**
 * Positions and offsets as variables, in the program's own units: lengths in millimetres or inches,
 * angles in degrees.
 */
export class SystemVariables implements SystemSource {
  readonly #machine: Machine
  readonly #state: ModalState
  readonly #coordinates: Coordinates
  readonly #joints: readonly number[]
  readonly #control: ControlAccess

  constructor(machine: Machine, rules: VariableControl, state: ModalState, coordinates: Coordinates, control: ControlAccess) {
    this.#machine = machine
    this.#state = state
    this.#coordinates = coordinates
    this.#control = control
    this.#joints = [...rules.axes].map(letter => machine.axes.findIndex(axis => axis.letter === letter))
  }

  read(index: number): number | undefined {
    const place = this.#placeOf(index)
    if (place === undefined) return undefined
    const { range, joint, system } = place, state = this.#state
    if (range === 'active') return offsetNumber(state.workOffset ?? 'G54') ?? Number.NaN
    if (joint < 0) return 0
    this.#control.settle()
    switch (range) {
      case 'probe': return Number.NaN
      case 'blockEnd': case 'position': return this.#written(joint, state.position[this.#machine.axes[joint]?.letter ?? ''] ?? Number.NaN)
      case 'machine': return this.#written(joint, state.joints[joint] ?? Number.NaN)
      case 'home': return this.#written(joint, this.#machine.home?.[joint] ?? Number.NaN)
      case 'secondHome': return this.#written(joint, this.#machine.secondHome?.[joint] ?? Number.NaN)
      case 'setPosition': return this.#written(joint, state.keptPosition?.[joint] ?? 0)
      default: return this.#written(joint, this.#coordinates.offsetJoints(state, offsetName(system))[joint] ?? Number.NaN)
    }
  }

  write(index: number, value: number): boolean {
    const place = this.#placeOf(index), state = this.#state
    if (place === undefined || place.joint < 0) return false
    const { range, joint, system } = place
    if (range === 'offsets') {
      const name = offsetName(system)
      const values = [...this.#coordinates.offsetJoints(state, name)]
      values[joint] = this.#stored(joint, value)
      state.writtenOffsets = { ...state.writtenOffsets, [name]: values }
    } else if (range === 'setPosition') {
      const values = [...state.keptPosition ?? this.#machine.axes.map(() => 0)]
      values[joint] = this.#stored(joint, value)
      state.keptPosition = values
    } else return false
    this.#control.renumber()
    return true
  }

  /** Which position or offset a number stands for. */
  #placeOf(index: number): { readonly range: Range, readonly joint: number, readonly system: number } | undefined {
    if (index === ranges.active) return { range: 'active', joint: -1, system: 0 }
    for (const range of ['blockEnd', 'machine', 'position', 'probe', 'home', 'secondHome', 'setPosition'] as const) {
      const axis = index - ranges[range]
      if (axis >= 0 && axis < AXIS_COUNT) return { range, joint: this.#joints[axis] ?? -1, system: 0 }
    }
    const beyond = index - ranges.offsets, axis = beyond % OFFSET_STEP, system = Math.floor(beyond / OFFSET_STEP) + 1
    if (beyond < 0 || system > OFFSET_COUNT || axis >= AXIS_COUNT) return undefined
    return { range: 'offsets', joint: this.#joints[axis] ?? -1, system }
  }

  #written(joint: number, value: number): number {
    return this.#machine.axes[joint]?.kind === 'rotary' ? value * 180 / Math.PI : value / (this.#state.unit ?? 1)
  }

  #stored(joint: number, value: number): number {
    return this.#machine.axes[joint]?.kind === 'rotary' ? value * Math.PI / 180 : value * (this.#state.unit ?? 1)
  }
}
