import { ARC_STRIDE, MotionFlag } from '../../../shared/toolpath.ts'
import type { SearchInput } from './search-motions.ts'

/** Flags that a search looks at. */
const searchedFlags = MotionFlag.rapid | MotionFlag.unknownStart

/** Numbers of a motion beside its joints and its arc: kind, flags and tool, those of the motion before, set of limits. */
const plainNumbers = 6

/**
 * What a motion's figures depend on, as numbers: where it goes, how, with which tool, held against which limits, and what of the
 * motion before decides whether a path starts here or a rapid leaves the cut. Neither its line nor its place in the program counts.
 */
export class MotionContent {
  readonly #input: SearchInput
  readonly #width: number
  readonly #numbers: Float64Array
  readonly #words: Uint32Array

  constructor(input: SearchInput) {
    this.#input = input
    this.#width = input.toolpath.axes.length
    this.#numbers = new Float64Array(plainNumbers + 2 * this.#width + ARC_STRIDE)
    this.#words = new Uint32Array(this.#numbers.buffer)
  }

  /**
   * The numbers of motion i, with `tool` and `limits` in the place of its tool and its set of limits; the view is
   * written over by the next call.
   */
  numbersOf(i: number, tool: number, limits: number): Float64Array {
    const { toolpath: path } = this.#input, n = this.#numbers, width = this.#width
    n[0] = path.kind[i]
    n[1] = path.flags[i] & searchedFlags
    n[2] = tool
    n[3] = i === 0 ? -1 : path.flags[i - 1] & searchedFlags
    n[4] = i === 0 || path.tool[i - 1] !== path.tool[i] ? 0 : 1
    n[5] = limits
    for (let k = 0; k < 2 * width; k++) n[plainNumbers + k] = path.joints[i * width + k]
    const arc = path.arcOf[i], at = plainNumbers + 2 * width
    if (arc < 0) return n.subarray(0, at)
    for (let k = 0; k < ARC_STRIDE; k++) n[at + k] = path.arcs[arc * ARC_STRIDE + k]
    return n
  }

  /** Whether motion i and motion j of `other`, under sets of limits of one name, have the same numbers. Joints that are not known are never the same. */
  isSame(i: number, limits: number, other: MotionContent, j: number, otherLimits: number): boolean {
    const a = this.#input.toolpath, b = other.#input.toolpath, width = this.#width
    if (limits !== otherLimits || a.kind[i] !== b.kind[j] || a.tool[i] !== b.tool[j] || ((a.flags[i] ^ b.flags[j]) & searchedFlags) !== 0) return false
    if (i === 0 || j === 0 ? i !== j : ((a.flags[i - 1] ^ b.flags[j - 1]) & searchedFlags) !== 0 || (a.tool[i - 1] === a.tool[i]) !== (b.tool[j - 1] === b.tool[j])) return false
    for (let k = i * width, l = j * width, end = k + 2 * width; k < end; k++, l++) if (a.joints[k] !== b.joints[l]) return false
    const arc = a.arcOf[i], otherArc = b.arcOf[j]
    if (arc < 0 || otherArc < 0) return arc < 0 && otherArc < 0
    for (let k = 0; k < ARC_STRIDE; k++) if (a.arcs[arc * ARC_STRIDE + k] !== b.arcs[otherArc * ARC_STRIDE + k]) return false
    return true
  }

  /** 32 bits of where motion i goes: alike for alike motions, and evenly spread. */
  hashOf(i: number): number {
    const count = this.numbersOf(i, 0, 0).length * 2
    let hash = 0x811c9dc5
    for (let k = 0; k < count; k++) hash = Math.imul(hash ^ this.#words[k], 0x01000193) ^ hash >>> 15
    hash = Math.imul(hash ^ hash >>> 16, 0x85ebca6b)
    return (hash ^ hash >>> 13) >>> 0
  }
}

/** Pieces of a program that are cut where their motions say so: what is put in or taken out changes the pieces around it only. */
const motionsPerPiece = 1024
export const mostMotionsPerPiece = 4 * motionsPerPiece

export function contentPieces(input: SearchInput): { readonly first: number, readonly count: number }[] {
  const content = new MotionContent(input), pieces: { first: number, count: number }[] = []
  const { count } = input.toolpath
  for (let i = 0, first = 0; i < count; i++) {
    const isLast = content.hashOf(i) % motionsPerPiece === 0 || i - first + 1 === mostMotionsPerPiece || i === count - 1
    if (!isLast) continue
    pieces.push({ first, count: i - first + 1 })
    first = i + 1
  }
  return pieces
}
