import { PathFlag } from '../../shared/protocol/scene-messages.ts'

// The path as it arrives: one run of vertices, part frame, mm. Segment i joins vertices i - 1 and i.

export interface PathArrays {
  /** x y z of each vertex. */
  readonly positions: Float32Array
  /** 0-based line of the segment that ends in the vertex. */
  readonly lines: Uint32Array
  /** PathFlag bits of that segment. */
  readonly flags: Uint8Array
  /** The motion of that segment. */
  readonly motions: Uint32Array
}

export interface PathGeometry {
  /** Pairs of vertices, in the order of the program; the second one names the segment. */
  readonly cutting: Uint32Array
  readonly rapid: Uint32Array
  /** Rapids that do not run straight to the end of their block. */
  readonly dogLeg: Uint32Array
  /** Length of rapid motion up to each vertex since the rapid run began, mm: carries the dashes over the joints. */
  readonly dashStart: Float32Array
}

/** Sorts the segments into cutting and rapid ones; the vertices stay where they are and are shared. */
export function pathGeometry(path: PathArrays): PathGeometry {
  const { positions, flags } = path
  const count = flags.length
  let rapidCount = 0
  let dogLegCount = 0
  let segmentCount = 0
  for (let i = 1; i < count; i++) {
    if ((flags[i] & PathFlag.start) !== 0) continue
    segmentCount++
    if ((flags[i] & PathFlag.dogLeg) !== 0) dogLegCount++
    else if ((flags[i] & PathFlag.rapid) !== 0) rapidCount++
  }
  const cutting = new Uint32Array((segmentCount - rapidCount - dogLegCount) * 2)
  const rapid = new Uint32Array(rapidCount * 2)
  const dogLeg = new Uint32Array(dogLegCount * 2)
  const dashStart = new Float32Array(count)
  let cuttingAt = 0
  let rapidAt = 0
  let dogLegAt = 0
  let travelled = 0
  for (let i = 1; i < count; i++) {
    const isRapid = (flags[i] & PathFlag.rapid) !== 0
    if ((flags[i] & PathFlag.start) !== 0 || !isRapid) travelled = 0
    if ((flags[i] & PathFlag.start) !== 0) continue
    if (isRapid) {
      const a = (i - 1) * 3, b = i * 3
      travelled += Math.hypot(positions[b] - positions[a], positions[b + 1] - positions[a + 1], positions[b + 2] - positions[a + 2])
      dashStart[i] = travelled
      if ((flags[i] & PathFlag.dogLeg) !== 0) {
        dogLeg[dogLegAt++] = i - 1
        dogLeg[dogLegAt++] = i
      } else {
        rapid[rapidAt++] = i - 1
        rapid[rapidAt++] = i
      }
    } else {
      cutting[cuttingAt++] = i - 1
      cutting[cuttingAt++] = i
    }
  }
  return { cutting, rapid, dogLeg, dashStart }
}

/** Segments of the path, cutting and rapid. */
export function segmentCount(path: PathArrays): number {
  let count = 0
  for (let i = 1; i < path.flags.length; i++) {
    if ((path.flags[i] & PathFlag.start) === 0) count++
  }
  return count
}

/** End points of the segments of the motions [first, last], six numbers each. */
export function segmentsOfMotions(path: PathArrays, first: number, last: number): Float32Array {
  const { positions, motions, flags } = path
  const found: number[] = []
  // The vertices stand in the order of the motions.
  let low = 0, high = motions.length
  while (low < high) {
    const middle = (low + high) >> 1
    if (motions[middle] < first) low = middle + 1
    else high = middle
  }
  for (let i = Math.max(1, low); i < motions.length && motions[i] <= last; i++) {
    if ((flags[i] & PathFlag.start) !== 0) continue
    const a = (i - 1) * 3
    for (let k = 0; k < 6; k++) found.push(positions[a + k])
  }
  return Float32Array.from(found)
}

export interface Box {
  readonly min: readonly [number, number, number]
  readonly max: readonly [number, number, number]
}

/** The box of the cutting path, or of all of it where nothing cuts; undefined without a segment. */
export function pathBox(path: PathArrays): Box | undefined {
  return boxOf(path, flags => (flags & (PathFlag.rapid | PathFlag.start)) === 0)
    ?? boxOf(path, flags => (flags & PathFlag.start) === 0)
}

/** The box of everything the path touches, rapids included. */
export function wholePathBox(path: PathArrays): Box | undefined {
  return boxOf(path, flags => (flags & PathFlag.start) === 0)
}

function boxOf(path: PathArrays, takes: (flags: number) => boolean): Box | undefined {
  const { positions, flags } = path
  const min: [number, number, number] = [Infinity, Infinity, Infinity]
  const max: [number, number, number] = [-Infinity, -Infinity, -Infinity]
  for (let i = 1; i < flags.length; i++) {
    if (!takes(flags[i])) continue
    for (let axis = 0; axis < 3; axis++) {
      const from = positions[i * 3 - 3 + axis], to = positions[i * 3 + axis]
      min[axis] = Math.min(min[axis], from, to)
      max[axis] = Math.max(max[axis], from, to)
    }
  }
  return min[0] <= max[0] ? { min, max } : undefined
}

/** The smallest box around both. */
export function joinBoxes(a: Box | undefined, b: Box | undefined): Box | undefined {
  if (a === undefined || b === undefined) return a ?? b
  return {
    min: [Math.min(a.min[0], b.min[0]), Math.min(a.min[1], b.min[1]), Math.min(a.min[2], b.min[2])],
    max: [Math.max(a.max[0], b.max[0]), Math.max(a.max[1], b.max[1]), Math.max(a.max[2], b.max[2])],
  }
}
