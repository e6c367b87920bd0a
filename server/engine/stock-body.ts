import type { Setup } from '../../shared/setup.ts'
import type { Obstacle } from './contact/obstacle.ts'
import { buildMeshTree, type MeshTree } from './mesh/mesh-tree.ts'

/** Sides of the prism that stands for a cylinder, and holds it: 0.03 % of the radius wider at its corners. */
const sides = 128

/**
 * The stock of a sheet as bodies of the machine are held against it, uncut: its box or cylinder, its mesh, or the
 * part's mesh grown by the offset. Undefined where it cannot be used, or another set-up leaves it.
 */
export function stockBody({ stock }: Setup, part: MeshTree | undefined, mesh: MeshTree | undefined): Obstacle | undefined {
  const body = (tree: MeshTree | undefined, grown = 0): Obstacle | undefined => tree === undefined ? undefined : { kind: 'stock', index: 0, tree, grown }
  switch (stock?.kind) {
    case undefined:
    case 'from':
      return undefined
    case 'box':
      return body(treeOf(boxCorners(stock.min, stock.max)))
    case 'cylinder':
      return body(treeOf(prismCorners(stock.diameter / 2 / Math.cos(Math.PI / sides), stock.bottom, stock.top)))
    case 'mesh':
      return body(mesh)
    case 'offset':
      return body(part, stock.offset)
    default:
      return stock satisfies never
  }
}

function treeOf(corners: readonly number[]): MeshTree {
  return buildMeshTree(Float64Array.from(corners), typeof SharedArrayBuffer !== 'undefined').tree
}

function boxCorners(min: readonly number[], max: readonly number[]): number[] {
  const corner = (i: number) => [0, 1, 2].map(k => ((i >> k) & 1) === 0 ? min[k] ?? 0 : max[k] ?? 0)
  const faces = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]]
  return faces.flatMap(([a = 0, b = 0, c = 0, d = 0]) => [a, b, c, a, c, d].flatMap(corner))
}

function prismCorners(radius: number, bottom: number, top: number): number[] {
  const at = (side: number, h: number) => [radius * Math.cos(2 * Math.PI * side / sides), radius * Math.sin(2 * Math.PI * side / sides), h]
  return Array.from({ length: sides }, (_, i) => {
    const [a, b, c, d] = [at(i, bottom), at((i + 1) % sides, bottom), at((i + 1) % sides, top), at(i, top)]
    return [...a, ...b, ...c, ...a, ...c, ...d, 0, 0, bottom, ...b, ...a, 0, 0, top, ...d, ...c]
  }).flat()
}
