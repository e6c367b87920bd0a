import { BufferAttribute, BufferGeometry } from 'three'
import { MeshBVH, SAH } from 'three-mesh-bvh'

// The one door to three-mesh-bvh in the engine: the library decides the shape of the tree.

/** Two triangles to a leaf take 144 bytes a triangle in all; six took 1.35 times as long to search, one no less. */
const leafTriangles = 2

/**
 * Sorts triangles given as 9 numbers each into a binary tree; there must be one at least. Its nodes stand depth first: a left
 * child follows its parent. `links` receives two numbers a node, for an inner one the right child's number and 0, for a leaf
 * the first triangle in the tree's order and their count; `order` the place that each triangle of the tree had.
 * Answers the number of nodes, which is below twice that of the triangles.
 */
export function shapeTree(source: Float64Array, links: Int32Array, order: Uint32Array): number {
  const geometry = new BufferGeometry()
  geometry.setAttribute('position', new BufferAttribute(new Float32Array(source), 3))
  const bvh = new MeshBVH(geometry, { strategy: SAH, targetLeafSize: leafTriangles, indirect: false })
  // The nodes on the way to the one in hand, by depth.
  const way: number[] = []
  let nodeCount = 0
  bvh.traverse((depth, isLeaf, _box, first, count) => {
    const node = nodeCount++
    // A node of this depth that has been passed is the left one: the parent's right child is this one.
    if (way.length > depth && depth > 0) links[2 * way[depth - 1]] = node
    way.length = depth
    way.push(node)
    links[2 * node] = isLeaf ? first : 0
    links[2 * node + 1] = isLeaf ? count : 0
    return false
  })
  const index = geometry.index
  if (index === null) throw new Error('the tree library left no triangle order')
  for (let i = 0; i < order.length; i++) order[i] = index.getX(i * 3) / 3
  return nodeCount
}
