import { BufferAttribute, BufferGeometry } from 'three'
import { MeshBVH, SAH } from 'three-mesh-bvh'

// The one door to three-mesh-bvh in the engine. The library decides the shape of the tree; the
// search reads a packed twin of it, because it needs float64 corners beside float32 boxes and,
// for small nodes, a disc that bounds the facets far better than a box.

/** Numbers of one node: centre 3, half-extents 3, radius, mean normal 3, offset, half-thickness, disc radius, 3 spare (one cache line). */
export const NODE_STRIDE = 16

export const NodeField = { centre: 0, half: 3, radius: 6, normal: 7, offset: 10, thickness: 11, disc: 12 } as const

/** Nodes with more triangles have no disc: their normals disagree too much to help. */
const discTriangles = 512

/** Two triangles to a leaf take 144 bytes a triangle in all; six took 1.35 times as long to search, one no less. */
const leafTriangles = 2

/** Float32 values are rounded outward by this share, more than twice the rounding of one float32. */
const outward = 1.5e-7

export interface MeshTree {
  readonly triangleCount: number
  /** 9 numbers a triangle, in the tree's order. */
  readonly corners: Float64Array
  readonly nodes: Float32Array
  /** Two a node: for an inner node the right child's number and 0 (the left child follows its parent), for a leaf the first triangle and their count. */
  readonly links: Int32Array
  readonly min: readonly [number, number, number]
  readonly max: readonly [number, number, number]
}

/**
 * Builds the tree over triangles given as 9 numbers each, mm, part frame. `share` puts the arrays on
 * shared memory so that workers can read them without a copy. The triangles must not be empty;
 * `order` gives the place each triangle of the tree had among them.
 */
export function buildMeshTree(source: Float64Array, share: boolean): { tree: MeshTree, order: Uint32Array } {
  const count = source.length / 9
  const order = new Uint32Array(count)
  const { leafFlags, leafFirst, leafCount, rights } = treeShape(source, order)
  const corners = share ? new Float64Array(new SharedArrayBuffer(source.length * 8)) : new Float64Array(source.length)
  for (let i = 0; i < count; i++) corners.set(source.subarray(order[i] * 9, order[i] * 9 + 9), i * 9)
  const nodeCount = leafFlags.length
  const nodes = share ? new Float32Array(new SharedArrayBuffer(nodeCount * NODE_STRIDE * 4)) : new Float32Array(nodeCount * NODE_STRIDE)
  const links = share ? new Int32Array(new SharedArrayBuffer(nodeCount * 8)) : new Int32Array(nodeCount * 2)
  const boxes = new Float64Array(nodeCount * 6)
  const first = new Uint32Array(nodeCount), size = new Uint32Array(nodeCount)
  // Children stand behind their parents: walking backward, both are ready when the parent is reached.
  for (let n = nodeCount - 1; n >= 0; n--) {
    if (leafFlags[n]) {
      links[n * 2] = leafFirst[n]
      links[n * 2 + 1] = leafCount[n]
      first[n] = leafFirst[n]
      size[n] = leafCount[n]
      boundCorners(corners, leafFirst[n], leafCount[n], boxes, n * 6)
    } else {
      const right = rights[n]
      links[n * 2] = right
      links[n * 2 + 1] = 0
      first[n] = first[n + 1]
      size[n] = size[n + 1] + size[right]
      joinBoxes(boxes, (n + 1) * 6, right * 6, n * 6)
    }
    writeBox(boxes, n * 6, nodes, n * NODE_STRIDE)
    if (size[n] <= discTriangles) writeDisc(corners, first[n], size[n], nodes, n * NODE_STRIDE)
    else nodes[n * NODE_STRIDE + NodeField.disc] = -1
  }
  const tree: MeshTree = {
    triangleCount: count, corners, nodes, links,
    min: [boxes[0], boxes[1], boxes[2]],
    max: [boxes[3], boxes[4], boxes[5]],
  }
  return { tree, order }
}

/** The library's tree in depth-first order; `order` receives the triangles' order. */
function treeShape(source: Float64Array, order: Uint32Array) {
  const geometry = new BufferGeometry()
  geometry.setAttribute('position', new BufferAttribute(Float32Array.from(source), 3))
  const bvh = new MeshBVH(geometry, { strategy: SAH, targetLeafSize: leafTriangles, indirect: false })
  const leafFlags: boolean[] = [], leafFirst: number[] = [], leafCount: number[] = [], depths: number[] = []
  bvh.traverse((depth, isLeaf, _box, offset, count) => {
    leafFlags.push(isLeaf)
    leafFirst.push(isLeaf ? offset : 0)
    leafCount.push(isLeaf ? count : 0)
    depths.push(depth)
    return false
  })
  // In depth-first order a node's right child is the second later node one level down: the first that follows the left subtree.
  const rights = new Int32Array(leafFlags.length)
  const open: number[] = []
  for (let n = 0; n < depths.length; n++) {
    const depth = depths[n]
    // A node at this depth that has been passed is the left sibling; its parent waits for this one.
    if (open.length > depth) rights[open[depth - 1]] = n
    open.length = depth
    open.push(n)
  }
  const index = geometry.index
  if (index === null) throw new Error('the tree library left no triangle order')
  for (let i = 0; i < order.length; i++) order[i] = index.getX(i * 3) / 3
  return { leafFlags, leafFirst, leafCount, rights }
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
