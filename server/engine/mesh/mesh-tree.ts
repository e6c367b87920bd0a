import { firstOfPart, partTriangles } from './part-triangles.ts'
import { joinedBox, NODE_STRIDE, writeLargeNode, writeNodes } from './tree-nodes.ts'
import { shapeTree } from './tree-shape.ts'

// The tree as the search reads it: float64 corners beside float32 boxes and discs.

/** Trees of more triangles are sorted in parts, whether there are threads for them or not: what is found must not depend on it. */
const wholeTriangles = 100_000
/** Parts of a large tree. */
const partsOfLarge = 4

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

/** A part of a tree: its triangles, and room for what they come to, on shared memory where threads build them. */
export interface TreePart {
  /** 9 numbers a triangle, mm, part frame. */
  readonly source: Float64Array
  /** Receives the same in the tree's order. */
  readonly corners: Float64Array
  /** Receives the place that each triangle of the tree had. */
  readonly order: Uint32Array
  /** Room for twice as many nodes as triangles; they count from the part's own first node and triangle. */
  readonly nodes: Float32Array
  readonly links: Int32Array
  /** Receives low corner and high corner. */
  readonly box: Float64Array
  /** One number: how many nodes there are; 0 until all of it is built. */
  readonly built: Int32Array
}

/** Builds all parts, in whatever order and wherever. */
export type BuildParts = (parts: readonly TreePart[]) => void

/**
 * Builds the tree over triangles given as 9 numbers each, mm, part frame. `share` puts the arrays on
 * shared memory so that workers can read them without a copy. The triangles must not be empty;
 * `order` gives the place each triangle of the tree had among them.
 */
export function buildMeshTree(source: Float64Array, share: boolean, build: BuildParts = parts => parts.forEach(buildPart)): { tree: MeshTree, order: Uint32Array } {
  const memory = (bytes: number) => share ? new SharedArrayBuffer(bytes) : new ArrayBuffer(bytes)
  const count = source.length / 9, parts = count > wholeTriangles ? partsOfLarge : 1
  const parted = partTriangles(source, parts), gathered = parts === 1 ? source : new Float64Array(memory(source.byteLength))
  if (parts > 1) gather(source, parted, gathered)
  const corners = new Float64Array(memory(source.byteLength))
  const asked = Array.from({ length: parts }, (_, part): TreePart => {
    const first = firstOfPart(part, parts, count), size = firstOfPart(part + 1, parts, count) - first
    return {
      source: gathered.subarray(first * 9, (first + size) * 9), corners: corners.subarray(first * 9, (first + size) * 9), order: new Uint32Array(memory(size * 4)),
      nodes: new Float32Array(memory(2 * size * NODE_STRIDE * 4)), links: new Int32Array(memory(2 * size * 8)), box: new Float64Array(memory(48)), built: new Int32Array(memory(4)),
    }
  })
  build(asked)
  const { nodes, links, box } = joinParts(asked, memory)
  const order = new Uint32Array(count)
  let first = 0
  for (const part of asked) {
    part.order.forEach((place, i) => { order[first + i] = parted[first + place] })
    first += part.order.length
  }
  return { tree: { triangleCount: count, corners, nodes, links, min: [box[0], box[1], box[2]], max: [box[3], box[4], box[5]] }, order }
}

/** Builds one part, and last of all says so. Whoever does the same beside it writes the same. */
export function buildPart({ source, corners, order, nodes, links, box, built }: TreePart): void {
  const nodeCount = shapeTree(source, links, order)
  gather(source, order, corners)
  box.set(writeNodes(corners, links, nodeCount, nodes))
  Atomics.store(built, 0, nodeCount)
  Atomics.notify(built, 0)
}

function gather(source: Float64Array, order: Uint32Array, to: Float64Array): void {
  for (let i = 0; i < order.length; i++) {
    const from = order[i] * 9
    for (let k = 0; k < 9; k++) to[i * 9 + k] = source[from + k]
  }
}

/** Puts parts, a power of two of them, one behind the other under nodes of their own. */
function joinParts(parts: readonly TreePart[], memory: (bytes: number) => ArrayBufferLike): Pick<MeshTree, 'nodes' | 'links'> & { readonly box: Float64Array } {
  const nodeCount = parts.reduce((sum, { built }) => sum + built[0], parts.length - 1)
  const nodes = new Float32Array(memory(nodeCount * NODE_STRIDE * 4)), links = new Int32Array(memory(nodeCount * 8))
  let node = 0, triangle = 0
  const place = (from: readonly TreePart[]): Float64Array => {
    const [part] = from, [count] = part.built
    if (from.length === 1) {
      nodes.set(part.nodes.subarray(0, count * NODE_STRIDE), node * NODE_STRIDE)
      for (let n = 0; n < count; n++) {
        const isLeaf = part.links[2 * n + 1] > 0
        links[2 * (node + n)] = part.links[2 * n] + (isLeaf ? triangle : node)
        links[2 * (node + n) + 1] = part.links[2 * n + 1]
      }
      node += count
      triangle += part.order.length
      return part.box
    }
    const own = node++, left = place(from.slice(0, from.length / 2))
    links[2 * own] = node
    const box = joinedBox(left, place(from.slice(from.length / 2)))
    writeLargeNode(box, nodes, own)
    return box
  }
  return { box: place(parts), nodes, links }
}
