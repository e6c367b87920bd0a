import { sharedMemory } from '../../../shared/shared-memory.ts'
import { ARC_STRIDE, type Toolpath } from '../../../shared/toolpath.ts'

/** Where a stretch of motions begins or ends, in motions and in arc records. */
export interface PathPlace { readonly motions: number, readonly arcs: number }

type Numbers = Uint8Array | Uint32Array | Int32Array | Float32Array | Float64Array

/**
 * The old path up to `from`, then `middle`, then the old path from `to` on, whose lines have moved by `lines`. Without `to`
 * nothing follows. Of a long path most is copied; lists of numbers that say the same as before are the very ones.
 */
export function spliceToolpath(old: Toolpath, from: PathPlace, middle: Toolpath, to: PathPlace | undefined, lines: number): Toolpath {
  const width = old.axes.length, tail = to?.motions ?? old.count, joined = from.motions + middle.count, count = joined + old.count - tail
  const place = <T extends Numbers>(before: T, between: T) => splice(before, from.motions, between, tail)
  const oldArcs = old.arcs.length / ARC_STRIDE, tailArcs = to?.arcs ?? oldArcs, middleArcs = middle.arcs.length / ARC_STRIDE
  return {
    count, axes: old.axes,
    line: shifted(place(old.line, middle.line), joined, count, lines, old.line),
    // A motion begins where the one before it has ended.
    joints: splice(old.joints, (from.motions + 1) * width, middle.joints.subarray(width), (tail + 1) * width),
    arcs: splice(old.arcs, from.arcs * ARC_STRIDE, middle.arcs, tailArcs * ARC_STRIDE),
    arcOf: shifted(
      place(old.arcOf, from.arcs === 0 ? middle.arcOf : shifted(middle.arcOf, 0, middle.count, from.arcs, middle.arcOf)),
      joined, count, from.arcs + middleArcs - tailArcs, old.arcOf),
    kind: place(old.kind, middle.kind),
    flags: place(old.flags, middle.flags),
    tool: place(old.tool, middle.tool),
    seconds: place(old.seconds, middle.seconds),
  }
}

/** The old numbers up to `from`, those between, and the old ones from `to` on; the very list where they say what stood there. */
function splice<T extends Numbers>(before: T, from: number, between: T, to: number): T {
  if (between.length === to - from && between.every((value, i) => Object.is(value, before[from + i]))) return before
  // Threads that search the new path then need no copy of it.
  const bytes = (before.length - (to - from) + between.length) * before.BYTES_PER_ELEMENT
  const result = new (before.constructor as new (memory: ArrayBufferLike) => T)(sharedMemory(bytes))
  result.set(before.subarray(0, from) as never)
  result.set(between as never, from)
  result.set(before.subarray(to) as never, from + between.length)
  return result
}

/** The list with `by` added to what is not negative in [first, end); `kept` is never written to. */
function shifted<T extends Numbers>(list: T, first: number, end: number, by: number, kept: T): T {
  if (by === 0) return list
  const own = list === kept ? list.slice() as T : list
  for (let i = first; i < end; i++) if ((own[i] ?? -1) >= 0) own[i] = (own[i] ?? 0) + by
  return own
}
