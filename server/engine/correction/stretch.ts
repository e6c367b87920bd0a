import type { Cancellation } from '../../../shared/cancellation.ts'
import { jointsForToolPoint, newToolPose, toolPose, type Kinematics, type ToolPose } from '../../../shared/kinematics.ts'
import { MotionPose } from '../../../shared/motion-pose.ts'
import { MotionKind, type Toolpath } from '../../../shared/toolpath.ts'
import type { ContactFigures } from '../contact/contact-figures.ts'
import { KnownFigures } from '../contact/known-figures.ts'
import { motionFaults, type MotionFault } from '../contact/motion-faults.ts'
import { SceneSearcher, type SceneMeshes } from '../contact/scene-searcher.ts'
import type { EffectiveLimits } from '../contact/effective-limits.ts'
import type { SearchInput } from '../contact/search-motions.ts'
import type { Limits } from '../../../shared/setup.ts'

/** The end of a motion, which is the start of the next one. */
export interface Station {
  /** Motion of the program that ends here, or that this station parts. */
  readonly motion: number
  /** Where in that motion: 1 at its end, less where the station has been put in. */
  readonly time: number
  /** Why it must stay where it is; undefined where it may be moved. */
  readonly fixed: string | undefined
  /** How it has been moved from where the correction began: a way in mm, or a turn about the tool point as a rotation vector; part frame. */
  readonly shift: Float64Array
}

/** Stations that can be put in, beyond one for each motion. */
const roomBeside = 96

/**
 * A stretch of a program under correction: motions [first, first + count) as a path of their own, whose ends can be moved
 * and whose motions can be parted. Row k of the joints is station k; motion k runs from station k to station k + 1.
 * Motion 0 is the one before the stretch: it keeps the search from taking the first for the start of a tool's path.
 */
export class Stretch {
  readonly stations: Station[] = []
  readonly kinematics: Kinematics
  readonly width: number
  /** As moved so far, and as the correction in hand found it. */
  readonly path: Toolpath
  readonly base: Toolpath
  readonly pose: MotionPose
  readonly basePose: MotionPose
  readonly #input: SearchInput
  readonly #sets: EffectiveLimits[]
  readonly #given: readonly EffectiveLimits[]
  readonly #canPart: (motion: number) => boolean
  readonly #searcher: SceneSearcher
  readonly #known: KnownFigures
  readonly #cancellation: Cancellation
  readonly #lengths: readonly number[]
  readonly #point: ToolPose = newToolPose()
  #count: number

  /** `fixed`: why the end of a motion must stay, if it must; `canPart`: whether it can be made two; `known`: what has been searched with the same meshes and tools; `figures`: those of the program as it stands, if they are known. */
  constructor(
    input: SearchInput, meshes: SceneMeshes, first: number, count: number, fixed: (motion: number) => string | undefined, canPart: (motion: number) => boolean,
    cancellation: Cancellation, known = new KnownFigures(), figures?: ContactFigures,
  ) {
    this.#known = known
    this.#cancellation = cancellation
    this.#canPart = canPart
    const { toolpath } = input, from = Math.max(0, first - 1), motions = first + count - from
    this.width = toolpath.axes.length
    this.kinematics = input.kinematics
    this.#count = motions
    const room = 2 * motions + roomBeside
    this.path = part(toolpath, from, motions, room)
    this.base = { ...this.path, joints: this.path.joints.slice() }
    const ofMotion = new Uint16Array(room)
    ofMotion.set(input.limits.ofMotion.subarray(from, from + motions))
    this.#given = input.limits.sets
    this.#sets = [...this.#given]
    this.#input = { ...input, toolpath: this.path, limits: { sets: this.#sets, ofMotion } }
    this.#searcher = new SceneSearcher(this.#input, meshes, cancellation)
    this.#lengths = input.assemblies.map(assembly => assembly?.gaugeLength ?? 0)
    this.pose = new MotionPose(input.kinematics, this.path, this.#lengths)
    this.basePose = new MotionPose(input.kinematics, this.base, this.#lengths)
    if (figures !== undefined) known.learn(this.#input, 1, figures, from + 1, motions - 1)
    for (let k = 0; k <= motions; k++) {
      const motion = from + k - 1, outside = k <= first - from || k === motions
      this.stations.push({ motion, time: 1, fixed: outside ? 'it is where the stretch meets the rest of the program' : fixed(motion), shift: new Float64Array(3) })
    }
  }

  /** The limits that hold from here on, made of those of the sheet. */
  limitTo(change: (limits: Limits) => Limits): void {
    for (const [i, set] of this.#given.entries()) this.#sets[i] = { ...set, limits: change(set.limits) }
  }

  /** Motions, that before the stretch counted. */
  get count(): number { return this.#count }

  /** Motion of the program that motion k is, or is a part of. */
  originOf(k: number): number { return this.stations[k + 1].motion }

  /** Why the machine does not take the tool to a lean that it cannot reach. */
  get whyNotHeld(): string {
    return this.kinematics.rotary.length === 0 ? 'the machine has no rotary axis' : 'the machine cannot hold the tool that way'
  }

  lengthOf(k: number): number { return this.#lengths[this.path.tool[k]] ?? 0 }

  /** The joints of a station; a view. */
  jointsOf(path: Toolpath, station: number): Float64Array {
    return path.joints.subarray(station * this.width, (station + 1) * this.width)
  }

  /** Tool point and axis at a station; the answer is used again. */
  poseAt(path: Toolpath, station: number): ToolPose {
    toolPose(this.kinematics, this.jointsOf(path, station), this.lengthOf(Math.max(0, station - 1)), this.#point)
    return this.#point
  }

  /** Puts the tool point of a station where it is wanted, its rotary joints as they stand. False where the machine cannot. */
  placePoint(station: number, x: number, y: number, z: number): boolean {
    return jointsForToolPoint(this.kinematics, this.jointsOf(this.path, station), this.lengthOf(station - 1), x, y, z)
  }

  /** The figures of motions [first, first + count) as they stand. */
  search(first: number, count: number): ContactFigures {
    return this.#known.figures(this.#input, first, count, (from, some) => this.#searcher.searchRun(from, some), () => !this.#cancellation.cancelled())
  }

  /** What breaks a limit among these figures. */
  faults(figures: ContactFigures): MotionFault[] {
    return motionFaults(this.#input, figures)
  }

  /** What breaks a limit where a station stands, whatever leads there: a motion that stays in place, kept behind the others. */
  faultsStanding(station: number): MotionFault[] {
    return this.faultsOf(Math.max(0, station - 1), this.jointsOf(this.path, station))
  }

  /** What breaks a limit at these joints, under the limits and with the tool of motion k, and as a fault of that motion. */
  faultsOf(k: number, joints: Float64Array): MotionFault[] {
    const probe = this.path.kind.length - 1
    for (const list of [this.path.flags, this.path.tool, this.#input.limits.ofMotion]) list[probe] = list[probe - 1] = list[k]
    this.path.kind[probe] = MotionKind.joints
    this.path.arcOf[probe] = -1
    this.path.joints.set(joints, probe * this.width)
    this.path.joints.set(joints, (probe + 1) * this.width)
    return this.faults(this.search(probe, 1)).map(fault => ({ ...fault, motion: k }))
  }

  /** Way of the tool point in motion k, at most, mm. */
  wayOf(k: number): number {
    this.pose.begin(k)
    return this.pose.speed
  }

  /** Parts motion k at time t; the new station is k + 1. False where there is no more room, or the block cannot be made two; `ends`: it need not be, since its second part is left out. */
  part(k: number, t: number, ends = false): boolean {
    const n = this.#count
    // The last two places are those of the probe.
    if (n + 3 >= this.path.kind.length || !(ends || this.#canPart(this.originOf(k))) || this.path.arcOf[k] >= 0) return false
    const middle = new Float64Array(this.width), baseMiddle = new Float64Array(this.width)
    this.pose.begin(k)
    this.pose.jointsAt(t, middle)
    this.basePose.begin(k)
    this.basePose.jointsAt(t, baseMiddle)
    for (const list of [this.path.kind, this.path.flags, this.path.line, this.path.tool, this.path.seconds, this.path.arcOf, this.#input.limits.ofMotion]) list.copyWithin(k + 1, k, n)
    this.path.seconds[k + 1] *= 1 - t
    this.path.seconds[k] *= t
    for (const [joints, row] of [[this.path.joints, middle], [this.base.joints, baseMiddle]] as const) {
      joints.copyWithin((k + 2) * this.width, (k + 1) * this.width, (n + 1) * this.width)
      joints.set(row, (k + 1) * this.width)
    }
    const before = this.stations[k], after = this.stations[k + 1]
    const from = before.motion === after.motion && before.time < 1 ? before.time : 0
    const shift = Float64Array.from(before.shift, (value, n) => (1 - t) * value + t * after.shift[n])
    this.stations.splice(k + 1, 0, { motion: after.motion, time: from + (after.time - from) * t, fixed: undefined, shift })
    this.#count++
    return true
  }

  /** Leaves out what lies between two stations: one motion joins them, of the kind of the last that is left out. */
  join(from: number, to: number): void {
    const gone = to - from - 1, n = this.#count
    for (const list of [this.path.kind, this.path.flags, this.path.line, this.path.tool, this.path.seconds, this.path.arcOf, this.#input.limits.ofMotion]) list.copyWithin(from, to - 1, n)
    for (const joints of [this.path.joints, this.base.joints]) joints.copyWithin((from + 1) * this.width, to * this.width, (n + 1) * this.width)
    this.stations.splice(from + 1, gone)
    this.#count -= gone
  }

  /** How far the correction in hand has moved a tool point, mm: with the decimals of the program, which can be more than its demands ask for. */
  farthestShift(): number {
    return this.#farthest(({ point }) => point)
  }

  /** The same for the turn of the axis, radians. */
  farthestTurn(): number {
    return 2 * Math.asin(Math.min(1, this.#farthest(({ axis }) => axis) / 2))
  }

  #farthest(of: (pose: ToolPose) => Float64Array): number {
    let most = 0
    for (let at = 0; at <= this.#count; at++) {
      const [x, y, z] = of(this.poseAt(this.base, at)), now = of(this.poseAt(this.path, at))
      most = Math.max(most, Math.hypot(now[0] - x, now[1] - y, now[2] - z))
    }
    return most
  }

  /** What has been moved so far is where the next correction begins. */
  settle(): void {
    this.base.joints.set(this.path.joints)
    for (const { shift } of this.stations) shift.fill(0)
  }

  /** Takes back everything since the last `settle`, stations put in apart. */
  restore(): void {
    this.path.joints.set(this.base.joints)
    for (const { shift } of this.stations) shift.fill(0)
  }
}

/** Motions [first, first + count) with room for more; lines and calls are of no use to a search. */
function part(toolpath: Toolpath, first: number, count: number, room: number): Toolpath {
  const width = toolpath.axes.length, end = first + count
  const enlarged = <T extends Uint8Array | Uint32Array | Float32Array | Float64Array | Int32Array>(whole: T, from: number, to: number, size: number): T => {
    const copy = new (whole.constructor as new (size: number) => T)(size)
    copy.set(whole.subarray(from, to) as never)
    return copy
  }
  return {
    count: room,
    axes: toolpath.axes,
    kind: enlarged(toolpath.kind, first, end, room),
    flags: enlarged(toolpath.flags, first, end, room),
    line: enlarged(toolpath.line, first, end, room),
    tool: enlarged(toolpath.tool, first, end, room),
    seconds: enlarged(toolpath.seconds, first, end, room),
    joints: enlarged(toolpath.joints, first * width, (end + 1) * width, (room + 1) * width),
    arcOf: enlarged(toolpath.arcOf, first, end, room),
    arcs: toolpath.arcs,
  }
}
