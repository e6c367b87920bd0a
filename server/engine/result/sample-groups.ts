// Samples stand in the order of a curve that fills space, so that any run of them is a compact
// patch: eight samples make a group, eight groups a larger one, and so on. The tree needs no links.

/** Samples of a smallest group, and groups of the next larger one. */
export const groupSize = 8

/** Levels of groups: a group of the last one is a patch that is searched as a whole. */
export const groupLevels = 3

/** Samples of a patch. */
export const patchSize = groupSize ** groupLevels

/** Numbers of a box: centre 3, half-extents 3. */
export const BOX_STRIDE = 6

/** The boxes about the groups of each level, smallest groups first; mm, float32, half-extents rounded up. */
export interface SampleGroups {
  readonly boxes: Float32Array
  /** Where the boxes of each level begin, in boxes. */
  readonly starts: readonly number[]
}

/** How many patches there are. */
export function patchCount({ starts }: SampleGroups): number {
  return starts[groupLevels] - starts[groupLevels - 1]
}

interface Loose {
  readonly points: Float64Array
  readonly normals: Float32Array
  readonly areas: Float32Array
}

/** Puts the samples in order and boxes them; `share` puts everything on shared memory. */
export function groupSamples({ points, normals, areas }: Loose, share: boolean): Loose & { readonly count: number, readonly groups: SampleGroups, readonly places: Uint32Array } {
  const count = areas.length
  const order = orderOf(points)
  const bytes = (size: number) => share ? new SharedArrayBuffer(size) : new ArrayBuffer(size)
  const ordered = {
    points: new Float64Array(bytes(count * 24)), normals: new Float32Array(bytes(count * 12)), areas: new Float32Array(bytes(count * 4)),
  }
  const places = new Uint32Array(bytes(count * 4))
  for (let i = 0; i < count; i++) {
    const from = order[i]
    places[from] = i
    ordered.areas[i] = areas[from]
    for (let k = 0; k < 3; k++) {
      ordered.points[i * 3 + k] = points[from * 3 + k]
      ordered.normals[i * 3 + k] = normals[from * 3 + k]
    }
  }
  const starts = [0]
  for (let level = 1, groups = count; level <= groupLevels; level++) {
    groups = Math.ceil(groups / groupSize)
    starts.push(starts[level - 1] + groups)
  }
  const boxes = new Float32Array(bytes(starts[groupLevels] * BOX_STRIDE * 4))
  for (let level = 0; level < groupLevels; level++) {
    const members = groupSize ** (level + 1)
    for (let g = starts[level]; g < starts[level + 1]; g++) {
      const first = (g - starts[level]) * members
      writeBox(ordered.points, first, Math.min(first + members, count), boxes, g * BOX_STRIDE)
    }
  }
  return { ...ordered, count, groups: { boxes, starts }, places }
}

/** Cells of the curve along each side of the samples' cube, as a power of two. */
const curveBits = 10

/** Samples in the order of Morton's curve over the cube about them; of one cell, in the order given. */
function orderOf(points: Float64Array): Uint32Array {
  const count = points.length / 3
  const low = [Infinity, Infinity, Infinity]
  let side = 0
  for (let k = 0; k < 3; k++) {
    let high = -Infinity
    for (let i = k; i < points.length; i += 3) {
      if (points[i] < low[k]) low[k] = points[i]
      if (points[i] > high) high = points[i]
    }
    side = Math.max(side, high - low[k])
  }
  const scale = side > 0 ? (2 ** curveBits - 1) / side : 0
  // Code and number in one float64: 30 bits and at most 23, so that numbers are sorted without calling a comparison.
  const keys = new Float64Array(count), shift = 2 ** Math.ceil(Math.log2(Math.max(2, count)))
  for (let i = 0; i < count; i++) {
    const code = spread((points[i * 3] - low[0]) * scale) | spread((points[i * 3 + 1] - low[1]) * scale) << 1 | spread((points[i * 3 + 2] - low[2]) * scale) << 2
    keys[i] = (code >>> 0) * shift + i
  }
  keys.sort()
  return Uint32Array.from(keys, key => key % shift)
}

/** The ten low bits of a number with two noughts behind each. */
function spread(value: number): number {
  let bits = value & 0x3ff
  bits = (bits | bits << 16) & 0x30000ff
  bits = (bits | bits << 8) & 0x300f00f
  bits = (bits | bits << 4) & 0x30c30c3
  return (bits | bits << 2) & 0x9249249
}

function writeBox(points: Float64Array, first: number, end: number, boxes: Float32Array, at: number): void {
  for (let k = 0; k < 3; k++) {
    let low = Infinity, high = -Infinity
    for (let i = first; i < end; i++) {
      const value = points[i * 3 + k]
      if (value < low) low = value
      if (value > high) high = value
    }
    const centre = Math.fround((low + high) / 2)
    boxes[at + k] = centre
    // More than the rounding of one float32, so that no point lies outside.
    boxes[at + 3 + k] = Math.fround(Math.max(high - centre, centre - low) * (1 + 2.4e-7) + 1e-30)
  }
}
