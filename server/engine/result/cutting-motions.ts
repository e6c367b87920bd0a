import type { Cancellation } from '../../../shared/cancellation.ts'
import { MotionPose } from '../../../shared/motion-pose.ts'
import { MotionFlag } from '../../../shared/toolpath.ts'
import type { SearchInput } from '../contact/search-motions.ts'

/** Neighbouring motions under one box. */
const runSize = 64

/** Rounding of float32 boxes of bodies within 10 m, mm; added outward. */
const boxRounding = 0.002

/** Numbers of a motion's box: low corner 3, high corner 3. */
export const SWEPT_STRIDE = 6

/** A motion that removes material: a feed move from a known start with a tool whose shape is known. */
export function isCutting({ toolpath, assemblies }: SearchInput, motion: number): boolean {
  return (toolpath.flags[motion] & (MotionFlag.rapid | MotionFlag.unknownStart)) === 0 && assemblies[toolpath.tool[motion]] !== undefined
}

/** Writes the boxes about all that the cutter sweeps in the motions [first, end); an empty one for what does not cut. Stops early once nobody waits. */
export function writeSweptBoxes(input: SearchInput, boxes: Float32Array, first: number, end: number, cancellation: Cancellation): void {
  const pose = new MotionPose(input.kinematics, input.toolpath, input.assemblies.map(assembly => assembly?.gaugeLength ?? 0))
  for (let motion = first; motion < end; motion++) {
    if ((motion & 0xff) === 0 && cancellation.cancelled()) return
    clear(boxes, motion * SWEPT_STRIDE)
    if (!isCutting(input, motion)) continue
    pose.begin(motion)
    writeSwept(input, pose, motion, boxes)
  }
}

/** The motions of a part of the toolpath, found by what their cutter sweeps; runs of neighbours have a box about theirs. */
export class CuttingMotions {
  readonly #first: number
  readonly #end: number
  readonly #boxes: Float32Array
  readonly #runs: Float32Array

  /** `boxes`: of all motions of the toolpath; those in [first, end) count. */
  constructor(boxes: Float32Array, first: number, end: number) {
    this.#boxes = boxes
    this.#first = first
    this.#end = end
    this.#runs = new Float32Array(Math.ceil(Math.max(0, end - first) / runSize) * SWEPT_STRIDE)
    for (let run = 0; run * SWEPT_STRIDE < this.#runs.length; run++) {
      const from = first + run * runSize
      join(boxes, from, Math.min(end, from + runSize), this.#runs, run * SWEPT_STRIDE)
    }
  }

  /** Motions whose box comes within `reach` of a box given by centre and half-extents, in the toolpath's order. */
  near(box: Float32Array, at: number, reach: number): number[] {
    const found: number[] = []
    for (let run = 0; run * SWEPT_STRIDE < this.#runs.length; run++) {
      if (!meets(this.#runs, run * SWEPT_STRIDE, box, at, reach)) continue
      const from = this.#first + run * runSize, end = Math.min(this.#end, from + runSize)
      for (let i = from; i < end; i++) if (this.meets(i, box, at, reach)) found.push(i)
    }
    return found
  }

  /** Whether one motion comes within `reach`. */
  meets(motion: number, box: Float32Array, at: number, reach: number): boolean {
    return meets(this.#boxes, motion * SWEPT_STRIDE, box, at, reach)
  }
}

/** The lowest and highest point of each piece's axis in mid-motion, widened by how far they go and by the radius. */
function writeSwept({ assemblies, toolpath }: SearchInput, pose: MotionPose, motion: number, boxes: Float32Array): void {
  const at = motion * SWEPT_STRIDE
  pose.at(0.5)
  for (const { bottom, top, radius } of assemblies[toolpath.tool[motion]]?.shapes[0].pieces ?? []) {
    for (const height of [bottom, top]) {
      const wide = radius + pose.speed / 2 + pose.turn / 2 * (Math.abs(height) + radius) + boxRounding
      put(boxes, at, 0, pose.px + height * pose.ax, wide)
      put(boxes, at, 1, pose.py + height * pose.ay, wide)
      put(boxes, at, 2, pose.pz + height * pose.az, wide)
    }
  }
}

function clear(boxes: Float32Array, at: number): void {
  boxes.fill(Infinity, at, at + 3)
  boxes.fill(-Infinity, at + 3, at + SWEPT_STRIDE)
}

function put(boxes: Float32Array, at: number, k: number, value: number, wide: number): void {
  boxes[at + k] = Math.min(boxes[at + k], value - wide)
  boxes[at + 3 + k] = Math.max(boxes[at + 3 + k], value + wide)
}

function join(boxes: Float32Array, first: number, end: number, out: Float32Array, at: number): void {
  clear(out, at)
  for (let i = first; i < end; i++) {
    for (let k = 0; k < 3; k++) {
      out[at + k] = Math.min(out[at + k], boxes[i * SWEPT_STRIDE + k])
      out[at + 3 + k] = Math.max(out[at + 3 + k], boxes[i * SWEPT_STRIDE + 3 + k])
    }
  }
}

function meets(boxes: Float32Array, at: number, box: Float32Array, b: number, reach: number): boolean {
  for (let k = 0; k < 3; k++) {
    const wide = box[b + 3 + k] + reach
    if (boxes[at + k] > box[b + k] + wide || boxes[at + 3 + k] < box[b + k] - wide) return false
  }
  return true
}
