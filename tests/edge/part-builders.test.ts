import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, afterEach, beforeAll, expect, test, vi } from 'vitest'
import { buildWith } from '../../server/edge/part-builders.ts'
import { buildMeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { NODE_STRIDE, NodeField } from '../../server/engine/mesh/tree-nodes.ts'
import { boreMesh } from '../bench/bore.ts'
import { BorePool } from './bore-pool.ts'

// Large meshes are sorted in parts. The tree must not depend on how many threads have done it, nor on what becomes of them.

const bore = new BorePool(1), corners = boreMesh(102_000), said: string[] = []
const alone = buildMeshTree(corners, true)

beforeAll(() => bore.bundle())
afterAll(() => bore.remove())
afterEach(() => { vi.unstubAllGlobals() })

test('every triangle stands in the tree once, inside the boxes of all nodes above it', () => {
  const { tree, order } = alone, count = corners.length / 9
  expect(new Set(order).size).toBe(count)
  let visited = 0, outside = 0, other = 0
  for (let i = 0; i < count * 9; i++) {
    if (tree.corners[i] !== corners[order[Math.floor(i / 9)] * 9 + i % 9]) other++
  }
  const rangeOf = (node: number): [number, number] => {
    visited++
    const [a, b] = [tree.links[2 * node], tree.links[2 * node + 1]]
    const [left, right] = b > 0 ? [[a, a + b] as const, [a, a + b] as const] : [rangeOf(node + 1), rangeOf(a)]
    if (b === 0 && left[1] !== right[0]) other++
    for (let i = left[0] * 9; i < right[1] * 9; i++) {
      const axis = i % 3, at = node * NODE_STRIDE + axis
      if (Math.abs(tree.corners[i] - tree.nodes[at + NodeField.centre]) > tree.nodes[at + NodeField.half]) outside++
    }
    return [left[0], right[1]]
  }
  expect(rangeOf(0)).toEqual([0, count])
  expect(visited).toBe(tree.links.length / 2)
  expect({ outside, other }).toEqual({ outside: 0, other: 0 })
})

test.each([1, 3])('%i threads beside this one build the same tree', helpers => {
  expectAlone(buildMeshTree(corners, true, buildWith(helpers, bore.script, sentence => said.push(sentence))))
  expect(said).toEqual([])
})

test('a thread that takes a part and dies is made up for', () => {
  const script = join(bore.folder, 'dying.cjs')
  writeFileSync(script, 'require("node:worker_threads").parentPort.on("message", ({ next }) => { Atomics.add(next, 0, 1); process.exit(1) })')
  expectAlone(buildMeshTree(corners, true, buildWith(1, script, sentence => said.push(sentence))))
})

test('where there is no memory to share, this thread builds it all', () => {
  vi.stubGlobal('SharedArrayBuffer', undefined)
  expectAlone(buildMeshTree(corners, false, buildWith(3, bore.script, sentence => said.push(sentence))))
  expect(said).toEqual([])
})

function expectAlone({ tree, order }: typeof alone): void {
  const bytes = ({ buffer, byteOffset, byteLength }: Float64Array | Float32Array | Int32Array | Uint32Array) => Buffer.from(buffer, byteOffset, byteLength)
  for (const [one, other] of [[tree.corners, alone.tree.corners], [tree.nodes, alone.tree.nodes], [tree.links, alone.tree.links], [order, alone.order]] as const) {
    expect(bytes(one).equals(bytes(other))).toBe(true)
  }
  expect({ ...tree, corners: 0, nodes: 0, links: 0 }).toEqual({ ...alone.tree, corners: 0, nodes: 0, links: 0 })
}
