import { ARC_STRIDE, MotionFlag, type Toolpath } from '../../../shared/toolpath.ts'
import type { ComparedPath } from './compared-path.ts'

/** Joint values nearer than this are the same: mm and radians. Far below what any control resolves, far above rounding. */
export const SAME_JOINT = 1e-6

/** Bits of a motion's flags that say how it goes; spindle and coolant are compared by themselves. */
const goes = MotionFlag.rapid | MotionFlag.unknownStart

/**
 * One number for where and how each motion ends: its kind, its tool, its end and its arc. Motions that
 * a renumbered, commented or newly written block asks for have the same number as before.
 */
export function motionKeys({ toolpath }: ComparedPath): Float64Array {
  const { count, kind, flags, tool, joints, arcOf, arcs, axes } = toolpath
  const keys = new Float64Array(count), width = axes.length, hash = new KeyHash()
  for (let i = 0; i < count; i++) {
    hash.begin()
    hash.add(kind[i] ?? 0)
    hash.add((flags[i] ?? 0) & goes)
    hash.add(tool[i] ?? 0)
    for (let j = 0; j < width; j++) hash.add(steps(joints[(i + 1) * width + j]))
    const arc = arcOf[i] ?? -1
    // The sweep tells a long way round from a short one; the rest of an arc follows from its ends and middle.
    if (arc >= 0) for (const n of [0, 1, 2, 9]) hash.add(steps(arcs[arc * ARC_STRIDE + n]))
    keys[i] = hash.value
  }
  return keys
}

/** One number for what `nameOf` says of each motion's line, and which motion of the block it is. */
export function lineKeys({ toolpath }: ComparedPath, nameOf: (line: number) => string): Float64Array {
  const keys = new Float64Array(toolpath.count), hash = new KeyHash()
  let line = -1, leg = 0
  for (let i = 0; i < toolpath.count; i++) {
    const at = toolpath.line[i] ?? 0
    leg = at === line ? leg + 1 : 0
    line = at
    hash.begin()
    for (const character of nameOf(line)) hash.add(character.codePointAt(0) ?? 0)
    hash.add(leg)
    hash.add(toolpath.ownLine?.[i] ?? -1)
    keys[i] = hash.value
  }
  return keys
}

/** Whether both motions go the same way from the same start: every joint within SAME_JOINT, arcs alike. */
export function sameMotion(a: Toolpath, i: number, b: Toolpath, j: number): boolean {
  if (a.kind[i] !== b.kind[j] || ((a.flags[i] ?? 0) & goes) !== ((b.flags[j] ?? 0) & goes) || a.tool[i] !== b.tool[j]) return false
  const width = a.axes.length
  for (let n = 0; n < 2 * width; n++) if (!near(a.joints[i * width + n], b.joints[j * width + n])) return false
  const arcA = a.arcOf[i] ?? -1, arcB = b.arcOf[j] ?? -1
  if (arcA < 0 || arcB < 0) return arcA === arcB
  for (let n = 0; n < ARC_STRIDE; n++) if (!near(a.arcs[arcA * ARC_STRIDE + n], b.arcs[arcB * ARC_STRIDE + n])) return false
  return true
}

/** Whether a motion begins where nothing is known, so that it has no place to be compared. */
export function isUnknown({ flags }: Toolpath, motion: number): boolean {
  return ((flags[motion] ?? 0) & MotionFlag.unknownStart) !== 0
}

export function isRapid({ flags }: Toolpath, motion: number): boolean {
  return ((flags[motion] ?? 0) & MotionFlag.rapid) !== 0
}

function near(a = Number.NaN, b = Number.NaN): boolean {
  return Math.abs(a - b) <= SAME_JOINT || Number.isNaN(a) && Number.isNaN(b)
}

/** A joint value in whole steps, ten of SAME_JOINT wide: what rounding moves over the edge of a step is found by the comparison itself. */
function steps(value = Number.NaN): number {
  return Number.isNaN(value) ? 0.5 : Math.round(value / (10 * SAME_JOINT))
}

/** Two running 32-bit hashes (FNV-1a over the number's low and high half, with two seeds) joined to 53 bits. */
class KeyHash {
  #a = 0
  #b = 0

  begin(): void {
    this.#a = 0x811c9dc5
    this.#b = 0x9747b28c
  }

  add(value: number): void {
    const low = value | 0, high = (value / 4294967296) | 0, part = value % 1 === 0 ? 0 : 1
    for (const word of [low, high, part]) {
      this.#a = Math.imul(this.#a ^ word, 0x01000193) ^ (this.#a >>> 15)
      this.#b = Math.imul(this.#b ^ word, 0x85ebca6b) ^ (this.#b >>> 13)
    }
  }

  get value(): number {
    return (this.#a >>> 0) * 2097152 + (this.#b >>> 11)
  }
}
