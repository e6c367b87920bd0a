import type { SurfaceSamples } from './surface-samples.ts'

// Samples that belong together: they lie in one cube of the samples' spacing or in cubes that touch, and the
// surface turns no more between them than is asked for.

/** Cubes along one axis, about the middle; a part of 1 m at the finest spacing has 10,000. */
const most = 2 ** 15

/** Ways of facing: the axis nearest to the normal, and its sign. */
const ways = 6

/** Half of the 26 neighbours of a cube: each pair is looked at once. */
const neighbours = [0, 1].flatMap(x => [-1, 0, 1].flatMap(y => [-1, 0, 1].map(z => [x, y, z] as const)))
  .filter(([x, y, z]) => x > 0 || y > 0 || (y === 0 && z > 0))

/** Turn between neighbours, as its cosine, over which a surface counts as one: 37°, so that the faces at an edge are kept apart. */
export const smoothTurn = 0.8

/** 120°: only the two sides of a wall, however thin, are kept apart. */
export const anyTurn = -0.5

/** Gathers samples into connected patches, each in the order of its samples, the patch with the first sample first. */
export function connectSamples({ points, normals, spacing }: SurfaceSamples, list: readonly number[], turn: number): number[][] {
  const cubes = new Map<number, number>()
  /** Node of each way of facing in each cube, or -1. */
  const nodes: number[] = []
  const parents: number[] = []
  /** Sum of the normals of each node, three numbers. */
  const sums: number[] = []
  const find = (node: number) => {
    let root = node
    while (parents[root] !== root) root = parents[root] = parents[parents[root]]
    return root
  }
  const join = (a: number, b: number) => {
    const x = find(a), y = find(b)
    if (x !== y) parents[Math.max(x, y)] = Math.min(x, y)
  }
  const joinAlike = (a: number, b: number) => {
    const dot = sums[a * 3] * sums[b * 3] + sums[a * 3 + 1] * sums[b * 3 + 1] + sums[a * 3 + 2] * sums[b * 3 + 2]
    const length = Math.hypot(sums[a * 3], sums[a * 3 + 1], sums[a * 3 + 2]) * Math.hypot(sums[b * 3], sums[b * 3 + 1], sums[b * 3 + 2])
    if (dot > turn * length) join(a, b)
  }
  const nodeOf = new Int32Array(list.length)
  const place = (value: number) => Math.floor(value / spacing) + most / 2
  list.forEach((sample: number, i: number) => {
    const key = (place(points[sample * 3]) * most + place(points[sample * 3 + 1])) * most + place(points[sample * 3 + 2])
    let cube = cubes.get(key)
    if (cube === undefined) {
      cube = nodes.length
      cubes.set(key, cube)
      for (let way = 0; way < ways; way++) nodes.push(-1)
    }
    const at = cube + facing(normals, sample * 3)
    if (nodes[at] < 0) {
      nodes[at] = parents.push(parents.length) - 1
      sums.push(0, 0, 0)
    }
    nodeOf[i] = nodes[at]
    for (let k = 0; k < 3; k++) sums[nodes[at] * 3 + k] += normals[sample * 3 + k]
  })
  for (const [key, cube] of cubes) {
    joinWays(nodes, cube, cube, joinAlike)
    for (const [x, y, z] of neighbours) {
      const other = cubes.get(key + (x * most + y) * most + z)
      if (other !== undefined) joinWays(nodes, cube, other, joinAlike)
    }
  }
  const patches = new Map<number, number[]>()
  list.forEach((sample: number, i: number) => {
    const root = find(nodeOf[i]), patch = patches.get(root)
    if (patch === undefined) patches.set(root, [sample])
    else patch.push(sample)
  })
  return [...patches.values()]
}

function joinWays(nodes: readonly number[], a: number, b: number, join: (a: number, b: number) => void): void {
  for (let i = 0; i < ways; i++) {
    if (nodes[a + i] < 0) continue
    for (let j = 0; j < ways; j++) if (nodes[b + j] >= 0) join(nodes[a + i], nodes[b + j])
  }
}

function facing(normals: Float32Array, at: number): number {
  const x = Math.abs(normals[at]), y = Math.abs(normals[at + 1]), z = Math.abs(normals[at + 2])
  const axis = x >= y && x >= z ? 0 : y >= z ? 1 : 2
  return axis * 2 + (normals[at + axis] < 0 ? 1 : 0)
}
