import { jointsForToolPoint, newToolPose, toolPose, workOffsetInPart } from '../../../shared/kinematics.ts'
import type { Kinematics } from '../../../shared/kinematics.ts'
import type { Machine } from '../../../shared/machine.ts'
import type { Setup, Tool, Triple } from '../../../shared/setup.ts'
import { gaugeLength } from '../../../shared/tool-length.ts'
import type { ModalState } from './modal-state.ts'
import { turnIntoPlane, turnOutOfPlane, type TiltedPlane } from './tilted-plane.ts'

/** Why the tool length in force is not known. */
export type LengthDoubt = 'none' | 'no-tools' | 'no-such-offset' | 'no-tool'

/**
 * Programmed values to joint values and back, for the work offset, length and tool-centre control
 * in force. mm and radians; NaN stands for what is not known and spreads to what depends on it.
 *
 * Tool-centre control off: joint = work offset + programmed value, and the tool's length on Z.
 * On: X Y Z are the tool point in a frame parallel to the part frame whose origin is the offset's.
 * In a tilted plane X Y Z are the tool point in that plane, which lies in the same frame.
 */
export class Coordinates {
  readonly #setup: Setup | undefined
  readonly #kinematics: Kinematics
  readonly #letters: readonly string[]
  readonly #base: Float64Array
  readonly #offsets = new Map<string, { readonly joints: Float64Array, readonly origin: Triple }>()
  readonly #pose = newToolPose()
  readonly #width: number
  #joints: Float64Array
  #origin: Triple = [0, 0, 0]
  #length = 0
  /** X Y Z are the tool point on the part: tool-centre control is on, or a tilted plane is in force. */
  #onPart = false
  #plane: TiltedPlane | undefined
  /** Length of the tool in the spindle less the length in force; mm. */
  #lengthAstray = 0
  readonly #point = new Float64Array(3)
  lengthDoubt: LengthDoubt = 'none'
  /** False when tool-centre control could not solve for X, Y and Z. */
  solved = true

  constructor(machine: Machine, setup: Setup | undefined, kinematics: Kinematics) {
    this.#setup = setup
    this.#kinematics = kinematics
    this.#letters = machine.axes.map(axis => axis.letter)
    this.#width = this.#letters.length
    this.#base = this.#jointsOf(setup?.offsets[setup.baseOffset] ?? {})
    this.#joints = this.#base
  }

  /** Whether the setup gives this work offset; without a setup every offset counts as given. */
  isGiven(name: string): boolean {
    return this.#setup === undefined || name === this.#setup.baseOffset || Object.hasOwn(this.#setup.offsets, name)
  }

  /** Joint values of a work offset: as the program has written them, else as the setup gives them. */
  offsetJoints(state: Readonly<ModalState>, name: string): ArrayLike<number> & Iterable<number> {
    return state.writtenOffsets?.[name] ?? this.#offset(name).joints
  }

  /** Takes the offset, length and control mode of the state in force. */
  take(state: Readonly<ModalState>): void {
    const name = state.workOffset ?? this.#setup?.baseOffset ?? 'G54'
    if (state.writtenOffsets?.[name] === undefined && state.setPosition === undefined && state.localShift === undefined) {
      const offset = this.#offset(name)
      this.#joints = offset.joints
      this.#origin = offset.origin
    } else {
      const offset = this.offsetJoints(state, name)
      this.#joints = Float64Array.from(offset, (value, j) => value + (state.setPosition?.[j] ?? 0) + (state.localShift?.[j] ?? 0))
      this.#origin = workOffsetInPart(this.#kinematics, this.#joints.map((value, j) => value - (this.#base[j] ?? 0)))
    }
    this.#plane = state.tiltedPlane
    this.#onPart = state.toolCentre || state.tiltedPlane !== undefined
    this.#length = this.#lengthInForce(state)
    const tool = this.#setup?.tools.find(each => each.number === state.tool)
    this.#lengthAstray = (tool === undefined ? 0 : gaugeLength(tool)) - this.#length
  }

  /** Joint value of the work offset's zero. */
  offsetOf(joint: number): number {
    return this.#joints[joint] ?? 0
  }

  /** Writes the joints of a programmed position. */
  toJoints(programmed: Float64Array, joints: Float64Array): void {
    const linear = this.#kinematics.linear, x = linear[0], y = linear[1], z = linear[2] ?? -1
    let isKnown = true
    for (let j = 0; j < this.#width; j++) {
      joints[j] = (programmed[j] ?? Number.NaN) + (this.#joints[j] ?? 0)
      if (j !== x && j !== y && j !== z && Number.isNaN(joints[j])) isKnown = false
    }
    if (!this.#onPart) {
      if (z >= 0) joints[z] = (joints[z] ?? Number.NaN) + this.#length
      return
    }
    for (let n = 0; n < 3; n++) this.#point[n] = programmed[this.#kinematics.linear[n] ?? -1] ?? Number.NaN
    this.#toPart(this.#point)
    const px = this.#point[0] ?? Number.NaN, py = this.#point[1] ?? Number.NaN, pz = this.#point[2] ?? Number.NaN
    this.solved = true
    if (isKnown && !Number.isNaN(px + py + pz + this.#length)) this.solved = jointsForToolPoint(this.#kinematics, joints, this.#length, px, py, pz)
    else isKnown = false
    if (isKnown && this.solved) return
    for (const j of this.#kinematics.linear) if (j >= 0) joints[j] = Number.NaN
  }

  /** Writes what the program would call the joints' position. */
  toProgrammed(joints: Float64Array, programmed: Float64Array): void {
    const [x, y, z] = this.#kinematics.linear
    for (let j = 0; j < this.#width; j++) programmed[j] = (joints[j] ?? Number.NaN) - (this.#joints[j] ?? 0)
    if (!this.#onPart) {
      if (z >= 0) programmed[z] = (programmed[z] ?? Number.NaN) - this.#length
      return
    }
    toolPose(this.#kinematics, joints, this.#length, this.#pose)
    const point = this.#pose.point, plane = this.#plane
    for (let n = 0; n < 3; n++) point[n] = (point[n] ?? Number.NaN) - (this.#origin[n] ?? 0) - (plane?.origin[n] ?? 0)
    if (plane !== undefined) turnIntoPlane(plane, point)
    if (x >= 0) programmed[x] = point[0] ?? Number.NaN
    if (y >= 0) programmed[y] = point[1] ?? Number.NaN
    if (z >= 0) programmed[z] = point[2] ?? Number.NaN
  }

  /**
   * Brings an arc record from the programmed frame into its own: joint values, or the part frame.
   * A record of the part frame is that of the tool point, whatever length the program reckons with:
   * `joints` at the arc's end give the direction in which the two lengths differ.
   */
  placeArc(record: Float64Array, joints: Float64Array): void {
    const linear = this.#kinematics.linear
    if (!this.#onPart) {
      for (let n = 0; n < 3; n++) record[n] = (record[n] ?? 0) + (this.#joints[linear[n] ?? -1] ?? 0) + (n === 2 ? this.#length : 0)
      return
    }
    if (this.#plane !== undefined) for (const at of [3, 6]) turnOutOfPlane(this.#plane, record, at)
    this.#toPart(record)
    if (!(Math.abs(this.#lengthAstray) > 0)) return
    toolPose(this.#kinematics, joints, 0, this.#pose)
    for (let n = 0; n < 3; n++) record[n] = (record[n] ?? 0) - this.#lengthAstray * (this.#pose.axis[n] ?? 0)
  }

  /** First three numbers from the programmed frame to the part frame. */
  #toPart(point: Float64Array): void {
    const plane = this.#plane
    if (plane !== undefined) turnOutOfPlane(plane, point)
    for (let n = 0; n < 3; n++) point[n] = (point[n] ?? Number.NaN) + (plane?.origin[n] ?? 0) + (this.#origin[n] ?? 0)
  }

  #offset(name: string): { readonly joints: Float64Array, readonly origin: Triple } {
    let offset = this.#offsets.get(name)
    if (offset === undefined) {
      const isBase = this.#setup === undefined || name === this.#setup.baseOffset
      const values = isBase ? undefined : this.#setup?.offsets[name]
      const joints = isBase ? this.#base : values === undefined ? new Float64Array(this.#width).fill(Number.NaN) : this.#jointsOf(values)
      const shift = joints.map((value, j) => value - (this.#base[j] ?? 0))
      offset = { joints, origin: workOffsetInPart(this.#kinematics, shift) }
      this.#offsets.set(name, offset)
    }
    return offset
  }

  #jointsOf(values: Readonly<Record<string, number>>): Float64Array {
    return Float64Array.from(this.#letters, letter => values[letter] ?? 0)
  }

  /** Gauge point to tool point by the H in force; without an H the tool in the spindle is taken. */
  #lengthInForce(state: Readonly<ModalState>): number {
    this.lengthDoubt = 'none'
    if (state.lengthCompensation !== 43 && !state.toolCentre || this.#setup === undefined || state.lengthOffset === 0) return 0
    const { tools, toolsSetAside } = this.#setup
    if (tools.length === 0 && (toolsSetAside ?? []).length === 0) {
      this.lengthDoubt = 'no-tools'
      return 0
    }
    const { lengthOffset, tool: inSpindle } = state
    if (lengthOffset === undefined && inSpindle === undefined) {
      this.lengthDoubt = 'no-tool'
      return Number.NaN
    }
    const holds = (tool: Tool) => lengthOffset === undefined || tool.lengthOffset === lengthOffset
    const tool = tools.find(each => each.number === inSpindle && holds(each)) ?? tools.find(each => lengthOffset !== undefined && holds(each))
    if (tool === undefined) {
      this.lengthDoubt = lengthOffset === undefined ? 'no-tool' : 'no-such-offset'
      return Number.NaN
    }
    return gaugeLength(tool)
  }
}
