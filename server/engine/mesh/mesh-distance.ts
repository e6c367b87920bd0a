import type { MeshTree } from './mesh-tree.ts'
import { NODE_STRIDE, NodeField } from './tree-nodes.ts'

/** Distance from a point to the nearest facet, mm; `cap` where none is nearer than that. */
export function distanceToMesh(tree: MeshTree, x: number, y: number, z: number, cap: number): number {
  const { nodes, links, corners } = tree
  let best = cap * cap
  const stack = [0]
  for (let node = stack.pop(); node !== undefined; node = stack.pop()) {
    if (squareToBox(nodes, node * NODE_STRIDE, x, y, z) >= best) continue
    const count = links[node * 2 + 1]
    if (count > 0) {
      for (let t = links[node * 2]; t < links[node * 2] + count; t++) best = Math.min(best, squareToTriangle(corners, t * 9, x, y, z))
      continue
    }
    const left = node + 1, right = links[node * 2]
    const isLeftNearer = squareToBox(nodes, left * NODE_STRIDE, x, y, z) < squareToBox(nodes, right * NODE_STRIDE, x, y, z)
    stack.push(isLeftNearer ? right : left, isLeftNearer ? left : right)
  }
  return Math.sqrt(best)
}

function squareToBox(nodes: Float32Array, at: number, x: number, y: number, z: number): number {
  const half = at + NodeField.half
  const dx = Math.max(0, Math.abs(x - nodes[at]) - nodes[half])
  const dy = Math.max(0, Math.abs(y - nodes[at + 1]) - nodes[half + 1])
  const dz = Math.max(0, Math.abs(z - nodes[at + 2]) - nodes[half + 2])
  return dx * dx + dy * dy + dz * dz
}

/** Which corner, side or face is nearest follows from the signs of a few products (Ericson, Real-Time Collision Detection, 2005, 5.1.5; from memory). */
function squareToTriangle(c: Float64Array, at: number, x: number, y: number, z: number): number {
  const abx = c[at + 3] - c[at], aby = c[at + 4] - c[at + 1], abz = c[at + 5] - c[at + 2]
  const acx = c[at + 6] - c[at], acy = c[at + 7] - c[at + 1], acz = c[at + 8] - c[at + 2]
  const apx = x - c[at], apy = y - c[at + 1], apz = z - c[at + 2]
  /** Square of the distance to a + v ab + w ac. */
  const to = (v: number, w: number) => {
    const dx = apx - v * abx - w * acx, dy = apy - v * aby - w * acy, dz = apz - v * abz - w * acz
    return dx * dx + dy * dy + dz * dz
  }
  const bb = abx * abx + aby * aby + abz * abz, bc = abx * acx + aby * acy + abz * acz, cc = acx * acx + acy * acy + acz * acz
  const d1 = abx * apx + aby * apy + abz * apz, d2 = acx * apx + acy * apy + acz * apz
  if (d1 <= 0 && d2 <= 0) return to(0, 0)
  const d3 = d1 - bb, d4 = d2 - bc
  if (d3 >= 0 && d4 <= d3) return to(1, 0)
  const vc = d1 * d4 - d3 * d2
  if (vc <= 0 && d1 >= 0 && d3 <= 0) return to(d1 / (d1 - d3), 0)
  const d5 = d1 - bc, d6 = d2 - cc
  if (d6 >= 0 && d5 <= d6) return to(0, 1)
  const vb = d5 * d2 - d1 * d6
  if (vb <= 0 && d2 >= 0 && d6 <= 0) return to(0, d2 / (d2 - d6))
  const va = d3 * d6 - d5 * d4
  if (va <= 0 && d4 >= d3 && d5 >= d6) {
    const w = (d4 - d3) / (d4 - d3 + d5 - d6)
    return to(1 - w, w)
  }
  return to(vb / (va + vb + vc), vc / (va + vb + vc))
}
