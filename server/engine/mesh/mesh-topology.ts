import type { WeldedMesh } from './weld-corners.ts'

// How the facets hang together: which are of no use, which edges are open, which neighbours are
// turned against each other. Everything is found round each vertex, so the time grows with the facets.

/** What becomes of a facet. */
export const FacetUse = {
  kept: 0,
  /** Two of its corners are one point: it is an edge, and neighbours meet without it. */
  collapsed: 1,
  /** Its corners lie on a line: no surface, but it may join its neighbours. */
  thin: 2,
  /** The same three corners as an earlier facet. */
  repeated: 3,
} as const

export interface MeshTopology {
  readonly use: Uint8Array
  /** Edges with one facet, the first such edge as a corner, and so on; -1 where there is none. */
  readonly open: number
  readonly firstOpen: number
  /** Length of the open edges together, mm. */
  readonly openLength: number
  /** Edges where more than two facets meet. */
  readonly crowded: number
  readonly firstCrowded: number
  /** Edges whose two facets run the same way along it. */
  readonly turned: number
  readonly firstTurned: number
}

/** mm. A facet lower than this has no surface worth the name; the rounding of a placed corner within 10 m is a thousand times less. */
const THIN_HEIGHT = 1e-9

export function readTopology(corners: Float64Array, mesh: WeldedMesh): MeshTopology {
  const use = new Uint8Array(mesh.triangleCount)
  markWithoutArea(corners, mesh, use)
  markRepeated(mesh, use)
  return { use, ...countEdges(corners, mesh, use) }
}

function markWithoutArea(corners: Float64Array, { vertexOf, triangleCount }: WeldedMesh, use: Uint8Array): void {
  for (let t = 0; t < triangleCount; t++) {
    const a = vertexOf[3 * t], b = vertexOf[3 * t + 1], c = vertexOf[3 * t + 2]
    if (a === b || b === c || c === a) {
      use[t] = FacetUse.collapsed
      continue
    }
    const i = 9 * t
    const ux = corners[i + 3] - corners[i], uy = corners[i + 4] - corners[i + 1], uz = corners[i + 5] - corners[i + 2]
    const vx = corners[i + 6] - corners[i], vy = corners[i + 7] - corners[i + 1], vz = corners[i + 8] - corners[i + 2]
    const wx = vx - ux, wy = vy - uy, wz = vz - uz
    const nx = uy * vz - uz * vy, ny = uz * vx - ux * vz, nz = ux * vy - uy * vx
    // Twice the area is height times longest side.
    const longest = Math.max(ux * ux + uy * uy + uz * uz, vx * vx + vy * vy + vz * vz, wx * wx + wy * wy + wz * wz)
    if (nx * nx + ny * ny + nz * nz <= THIN_HEIGHT * THIN_HEIGHT * longest) use[t] = FacetUse.thin
  }
}

/** More facets round a vertex than this are sorted rather than compared each with each. */
const FEW = 24

function markRepeated(mesh: WeldedMesh, use: Uint8Array): void {
  const { vertexOf, fanStart, fan, vertexCount } = mesh
  /** Facets whose lowest vertex is the one looked at, with their other two in order. */
  let facets: number[] = []
  const middle = (t: number, low: number) => {
    const a = vertexOf[3 * t], b = vertexOf[3 * t + 1], c = vertexOf[3 * t + 2]
    return a === low ? Math.min(b, c) : b === low ? Math.min(a, c) : Math.min(a, b)
  }
  const highest = (t: number) => Math.max(vertexOf[3 * t], vertexOf[3 * t + 1], vertexOf[3 * t + 2])
  for (let v = 0; v < vertexCount; v++) {
    facets.length = 0
    for (let f = fanStart[v]; f < fanStart[v + 1]; f++) {
      const t = (fan[f] / 3) | 0
      if (use[t] === FacetUse.collapsed) continue
      if (vertexOf[3 * t] >= v && vertexOf[3 * t + 1] >= v && vertexOf[3 * t + 2] >= v) facets.push(t)
    }
    const many = facets.length > FEW
    if (many) facets = facets.sort((s, t) => middle(s, v) - middle(t, v) || highest(s) - highest(t) || s - t)
    for (let i = 1; i < facets.length; i++) {
      const t = facets[i], m = middle(t, v), h = highest(t)
      for (let j = i - 1; j >= (many ? i - 1 : 0); j--) {
        if (middle(facets[j], v) !== m || highest(facets[j]) !== h) continue
        use[t] = FacetUse.repeated
        break
      }
    }
  }
}

function countEdges(corners: Float64Array, mesh: WeldedMesh, use: Uint8Array): Omit<MeshTopology, 'use'> {
  const { vertexOf, fanStart, fan, vertexCount } = mesh
  // Facets that run along the edge from the vertex looked at, and back to it, by the edge's other end.
  const along = new Uint32Array(vertexCount), back = new Uint32Array(vertexCount)
  const ends: number[] = []
  let open = 0, crowded = 0, turned = 0, firstOpen = -1, openLength = 0, firstCrowded = -1, firstTurned = -1
  for (let v = 0; v < vertexCount; v++) {
    ends.length = 0
    for (let f = fanStart[v]; f < fanStart[v + 1]; f++) {
      const corner = fan[f], t = (corner / 3) | 0, k = corner - 3 * t
      if (use[t] === FacetUse.collapsed || use[t] === FacetUse.repeated) continue
      const next = vertexOf[3 * t + (k === 2 ? 0 : k + 1)], previous = vertexOf[3 * t + (k === 0 ? 2 : k - 1)]
      if (next > v) {
        if (along[next] + back[next] === 0) ends.push(next)
        along[next]++
      }
      if (previous > v) {
        if (along[previous] + back[previous] === 0) ends.push(previous)
        back[previous]++
      }
    }
    for (const end of ends) {
      const uses = along[end] + back[end]
      if (uses === 1) {
        if (open++ === 0) firstOpen = fan[fanStart[v]]
        const a = 3 * fan[fanStart[v]], b = 3 * fan[fanStart[end]]
        openLength += Math.hypot(corners[b] - corners[a], corners[b + 1] - corners[a + 1], corners[b + 2] - corners[a + 2])
      } else if (uses > 2) {
        if (crowded++ === 0) firstCrowded = fan[fanStart[v]]
      } else if (along[end] !== 1) {
        if (turned++ === 0) firstTurned = fan[fanStart[v]]
      }
      along[end] = back[end] = 0
    }
  }
  return { open, firstOpen, openLength, crowded, firstCrowded, turned, firstTurned }
}
