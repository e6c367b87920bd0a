import { MotionPose } from '../../../shared/motion-pose.ts'
import type { Kinematics } from '../../../shared/kinematics.ts'
import { PathFlag } from '../../../shared/protocol/scene-messages.ts'
import { ARC_STRIDE, isSameRun, MotionFlag, MotionKind, type Toolpath } from '../../../shared/toolpath.ts'

/** The tool point's path as one run of vertices, for the eye. mm, part frame. */
export interface PathRun {
  /** x y z of each vertex. */
  readonly positions: Float32Array
  /** 0-based line of the motion that ends in, or runs through, the vertex. */
  readonly lines: Uint32Array
  /** PathFlag bits. */
  readonly flags: Uint8Array
  /** The motion that ends in, or runs through, the vertex. */
  readonly motions: Uint32Array
}

/** A curve is drawn with a vertex for every so many radians of its turn. */
const TURN_PER_VERTEX = Math.PI / 36

/** Most vertices one motion gets: many turns in one block are drawn as a coarse coil. */
const MOST_PER_MOTION = 144

/** Below this the end of one motion and the start of the next are the same place, mm. */
const SAME_PLACE = 1e-4

/** Samples the whole toolpath. `lengths`: gauge length by tool index, mm. */
export function pathRun(path: Toolpath, kinematics: Kinematics, lengths: ArrayLike<number>): PathRun {
  const pose = new MotionPose(kinematics, path, lengths)
  const run = new RunBuilder(path.count * 2 + 16)
  let x = NaN, y = NaN, z = NaN
  for (let i = 0; i < path.count; i++) {
    if (((path.flags[i] ?? 0) & MotionFlag.unknownStart) !== 0) {
      x = NaN
      continue
    }
    const line = path.line[i] ?? 0
    const rapid = !isRapid(path, i) ? 0 : isDogLeg(path, kinematics, i) ? PathFlag.rapid | PathFlag.dogLeg : PathFlag.rapid
    pose.begin(i)
    pose.at(0)
    // The run breaks where the start was not known before, and where a tool change moves the tool point.
    if (!(Math.hypot(pose.px - x, pose.py - y, pose.pz - z) < SAME_PLACE)) run.add(pose, line, rapid | PathFlag.start, i)
    const steps = stepsOf(path, kinematics, i)
    for (let step = 1; step <= steps; step++) {
      pose.at(step / steps)
      run.add(pose, line, rapid, i)
    }
    x = pose.px
    y = pose.py
    z = pose.pz
  }
  return run.finish()
}

function isRapid({ flags }: Toolpath, motion: number): boolean {
  return ((flags[motion] ?? 0) & MotionFlag.rapid) !== 0
}

/** Whether the rapid does not run straight to where its block ends: it has legs, or the part turns under it. */
function isDogLeg(path: Toolpath, kinematics: Kinematics, motion: number): boolean {
  for (const other of [motion - 1, motion + 1]) {
    if (other >= 0 && other < path.count && isRapid(path, other) && isSameRun(path, motion, other)) return true
  }
  const row = motion * path.axes.length
  return path.kind[motion] !== MotionKind.toolLine && kinematics.rotary.some(joint => path.joints[row + joint] !== path.joints[row + path.axes.length + joint])
}

/** Straight motions need one segment; arcs and turns about a rotary axis one for every few degrees. */
function stepsOf(path: Toolpath, kinematics: Kinematics, motion: number): number {
  const kind = path.kind[motion]
  if (kind === MotionKind.toolLine) return 1
  let turn = 0
  const arc = path.arcOf[motion] ?? -1
  if (arc >= 0) turn += path.arcs[arc * ARC_STRIDE + 9] ?? 0
  if (kind !== MotionKind.toolArc) {
    const row = motion * path.axes.length
    for (const joint of kinematics.rotary) {
      turn += Math.abs((path.joints[row + path.axes.length + joint] ?? 0) - (path.joints[row + joint] ?? 0))
    }
  }
  return Math.max(1, Math.min(MOST_PER_MOTION, Math.ceil(turn / TURN_PER_VERTEX)))
}

class RunBuilder {
  #count = 0
  #positions: Float32Array
  #lines: Uint32Array
  #flags: Uint8Array
  #motions: Uint32Array

  constructor(size: number) {
    this.#positions = new Float32Array(size * 3)
    this.#lines = new Uint32Array(size)
    this.#flags = new Uint8Array(size)
    this.#motions = new Uint32Array(size)
  }

  add({ px, py, pz }: MotionPose, line: number, flags: number, motion: number): void {
    // A place that is not a number would make the whole run vanish from the picture.
    if (!Number.isFinite(px + py + pz)) return
    const at = this.#count++
    if (at === this.#lines.length) this.#grow()
    this.#positions[at * 3] = px
    this.#positions[at * 3 + 1] = py
    this.#positions[at * 3 + 2] = pz
    this.#lines[at] = line
    this.#flags[at] = flags
    this.#motions[at] = motion
  }

  finish(): PathRun {
    return {
      positions: this.#positions.slice(0, this.#count * 3),
      lines: this.#lines.slice(0, this.#count),
      flags: this.#flags.slice(0, this.#count),
      motions: this.#motions.slice(0, this.#count),
    }
  }

  #grow(): void {
    const size = this.#lines.length * 2
    const positions = new Float32Array(size * 3), lines = new Uint32Array(size), flags = new Uint8Array(size), motions = new Uint32Array(size)
    positions.set(this.#positions)
    lines.set(this.#lines)
    flags.set(this.#flags)
    motions.set(this.#motions)
    this.#positions = positions
    this.#lines = lines
    this.#flags = flags
    this.#motions = motions
  }
}
