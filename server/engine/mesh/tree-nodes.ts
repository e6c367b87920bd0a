// The numbers of one node of the tree: a box and, for small nodes, a disc that bounds the facets far better than it.

/** Numbers of one node: centre 3, half-extents 3, radius, mean normal 3, offset, half-thickness, disc radius, 3 spare (one cache line). */
export const NODE_STRIDE = 16

export const NodeField = { centre: 0, half: 3, radius: 6, normal: 7, offset: 10, thickness: 11, disc: 12 } as const

/** Nodes with more triangles have no disc: their normals disagree too much to help. */
const discTriangles = 512

/** Float32 values are rounded outward by this share, more than twice the rounding of one float32. */
const outward = 1.5e-7

/** Writes boxes and discs of nodes whose links and corners are there; answers the box of all, low corner and high corner. */
export function writeNodes(corners: Float64Array, links: Int32Array, nodeCount: number, nodes: Float32Array): Float64Array {
  const boxes = new Float64Array(nodeCount * 6), first = new Uint32Array(nodeCount), size = new Uint32Array(nodeCount)
  // Children stand behind their parents: walking backward, both are ready when the parent is reached.
  for (let n = nodeCount - 1; n >= 0; n--) {
    if (links[n * 2 + 1] > 0) {
      first[n] = links[n * 2]
      size[n] = links[n * 2 + 1]
      boundCorners(corners, first[n], size[n], boxes, n * 6)
    } else {
      const right = links[n * 2]
      first[n] = first[n + 1]
      size[n] = size[n + 1] + size[right]
      joinBoxes(boxes, (n + 1) * 6, right * 6, n * 6)
    }
    writeBox(boxes, n * 6, nodes, n * NODE_STRIDE)
    if (size[n] <= discTriangles) writeDisc(corners, first[n], size[n], nodes, n * NODE_STRIDE)
    else nodes[n * NODE_STRIDE + NodeField.disc] = -1
  }
  return boxes.slice(0, 6)
}

/** Writes an inner node over more triangles than a disc is made for. `box`: low corner and high corner. */
export function writeLargeNode(box: Float64Array, nodes: Float32Array, node: number): void {
  writeBox(box, 0, nodes, node * NODE_STRIDE)
  nodes[node * NODE_STRIDE + NodeField.disc] = -1
}

/** The box about two, each low corner and high corner. */
export function joinedBox(one: Float64Array, other: Float64Array): Float64Array {
  const boxes = new Float64Array(18)
  boxes.set(one)
  boxes.set(other, 6)
  joinBoxes(boxes, 0, 6, 12)
  return boxes.subarray(12)
}

function boundCorners(corners: Float64Array, first: number, count: number, boxes: Float64Array, at: number): void {
  for (let k = 0; k < 3; k++) {
    let low = Infinity, high = -Infinity
    for (let i = first * 9 + k; i < (first + count) * 9; i += 3) {
      const value = corners[i]
      if (value < low) low = value
      if (value > high) high = value
    }
    boxes[at + k] = low
    boxes[at + 3 + k] = high
  }
}

function joinBoxes(boxes: Float64Array, left: number, right: number, out: number): void {
  for (let k = 0; k < 3; k++) {
    boxes[out + k] = Math.min(boxes[left + k], boxes[right + k])
    boxes[out + 3 + k] = Math.max(boxes[left + 3 + k], boxes[right + 3 + k])
  }
}

/** Centre to the nearest float32, half-extents from that centre and rounded up. */
function writeBox(boxes: Float64Array, at: number, nodes: Float32Array, out: number): void {
  let square = 0
  for (let k = 0; k < 3; k++) {
    const low = boxes[at + k], high = boxes[at + 3 + k]
    const centre = Math.fround((low + high) / 2)
    nodes[out + NodeField.centre + k] = centre
    nodes[out + NodeField.half + k] = roundUp(Math.max(high - centre, centre - low))
    square += nodes[out + NodeField.half + k] ** 2
  }
  nodes[out + NodeField.radius] = roundUp(Math.sqrt(square))
}

/**
 * Every corner lies within ±thickness of the plane at `offset` along the mean normal from the box
 * centre, and within `disc` of the normal through that centre. The measures are taken with the
 * normal as rounded to float32, and widened for its length not being exactly one.
 */
function writeDisc(corners: Float64Array, first: number, count: number, nodes: Float32Array, out: number): void {
  let nx = 0, ny = 0, nz = 0
  const end = (first + count) * 9
  for (let i = first * 9; i < end; i += 9) {
    const ax = corners[i + 3] - corners[i], ay = corners[i + 4] - corners[i + 1], az = corners[i + 5] - corners[i + 2]
    const bx = corners[i + 6] - corners[i], by = corners[i + 7] - corners[i + 1], bz = corners[i + 8] - corners[i + 2]
    nx += ay * bz - az * by
    ny += az * bx - ax * bz
    nz += ax * by - ay * bx
  }
  const length = Math.hypot(nx, ny, nz)
  if (length < 1e-30) {
    nodes[out + NodeField.disc] = -1
    return
  }
  nx = Math.fround(nx / length)
  ny = Math.fround(ny / length)
  nz = Math.fround(nz / length)
  const cx = nodes[out], cy = nodes[out + 1], cz = nodes[out + 2]
  let low = Infinity, high = -Infinity, reach = 0
  for (let i = first * 9; i < end; i += 3) {
    const dx = corners[i] - cx, dy = corners[i + 1] - cy, dz = corners[i + 2] - cz
    const s = dx * nx + dy * ny + dz * nz
    if (s < low) low = s
    if (s > high) high = s
    const across = dx * dx + dy * dy + dz * dz - s * s
    if (across > reach) reach = across
  }
  const offset = Math.fround((low + high) / 2)
  const slack = (Math.abs(low) + Math.abs(high)) * 1e-6
  nodes[out + NodeField.normal] = nx
  nodes[out + NodeField.normal + 1] = ny
  nodes[out + NodeField.normal + 2] = nz
  nodes[out + NodeField.offset] = offset
  nodes[out + NodeField.thickness] = roundUp(Math.max(high - offset, offset - low) + slack)
  nodes[out + NodeField.disc] = roundUp(Math.sqrt(reach + 1e-6 * (low * low + high * high)) + slack)
}

/** The next float32 at or above a non-negative number, with a margin of one more rounding. */
function roundUp(value: number): number {
  return Math.fround(value * (1 + outward) + 1e-30)
}
