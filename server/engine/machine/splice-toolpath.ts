import { ARC_STRIDE, type Toolpath } from '../../../shared/toolpath.ts'

/** Where a stretch of motions begins or ends, in motions and in arc records. */
export interface PathPlace { readonly motions: number, readonly arcs: number }

/** The old path up to `from`, then `middle`, then the old path from `to` on, whose lines have moved by `lines`. Without `to` nothing follows. */
export function spliceToolpath(old: Toolpath, from: PathPlace, middle: Toolpath, to: PathPlace | undefined, lines: number): Toolpath {
  const width = old.axes.length, tail = to?.motions ?? old.count, joined = from.motions + middle.count, count = joined + old.count - tail
  const place = <T extends Uint8Array | Uint32Array | Int32Array | Float32Array>(target: T, before: T, between: T): T => {
    target.set(before.subarray(0, from.motions))
    target.set(between, from.motions)
    target.set(before.subarray(tail), joined)
    return target
  }
  const line = place(new Uint32Array(count), old.line, middle.line)
  if (lines !== 0) for (let i = joined; i < count; i++) line[i] = (line[i] ?? 0) + lines
  const joints = new Float64Array((count + 1) * width)
  joints.set(old.joints.subarray(0, (from.motions + 1) * width))
  joints.set(middle.joints.subarray(width), (from.motions + 1) * width)
  joints.set(old.joints.subarray((tail + 1) * width), (joined + 1) * width)
  const middleArcs = middle.arcs.length / ARC_STRIDE, tailArcs = to?.arcs ?? old.arcs.length / ARC_STRIDE
  const arcs = new Float64Array(from.arcs * ARC_STRIDE + middle.arcs.length + old.arcs.length - tailArcs * ARC_STRIDE)
  arcs.set(old.arcs.subarray(0, from.arcs * ARC_STRIDE))
  arcs.set(middle.arcs, from.arcs * ARC_STRIDE)
  arcs.set(old.arcs.subarray(tailArcs * ARC_STRIDE), from.arcs * ARC_STRIDE + middle.arcs.length)
  const arcOf = place(new Int32Array(count), old.arcOf, middle.arcOf)
  const move = (first: number, end: number, by: number) => {
    if (by !== 0) for (let i = first; i < end; i++) if ((arcOf[i] ?? -1) >= 0) arcOf[i] = (arcOf[i] ?? 0) + by
  }
  move(from.motions, joined, from.arcs)
  move(joined, count, from.arcs + middleArcs - tailArcs)
  return {
    count, axes: old.axes, line, joints, arcs, arcOf,
    kind: place(new Uint8Array(count), old.kind, middle.kind),
    flags: place(new Uint8Array(count), old.flags, middle.flags),
    tool: place(new Uint8Array(count), old.tool, middle.tool),
    seconds: place(new Float32Array(count), old.seconds, middle.seconds),
  }
}
